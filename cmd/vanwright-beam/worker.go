package main

import (
	"context"
	"fmt"
	"strings"

	"github.com/apache/beam/sdks/v2/go/container/tools"
	"github.com/apache/beam/sdks/v2/go/pkg/beam/util/grpcx"
)

// workerArgs turns the command line with which a runner starts a process of
// --environment_type PROCESS, an id and the address to ask, into that of the
// SDK's worker, which wants the addresses themselves. Any other command line
// comes back as it is. So the program is its own worker, and no boot program
// has to lie beside it.
func workerArgs(ctx context.Context, args []string) ([]string, error) {
	id, ask := "", ""
	for _, arg := range args[1:] {
		switch name, value, _ := strings.Cut(arg, "="); name {
		case "--id":
			id = strings.Trim(value, "'") // the SDK's own runner quotes it
		case "--provision_endpoint":
			ask = value
		}
	}
	if id == "" || ask == "" {
		return args, nil
	}
	info, err := tools.ProvisionInfo(grpcx.WriteWorkerID(ctx, id), ask)
	if err != nil {
		return nil, fmt.Errorf("ask %s what worker %s is to do: %w", ask, id, err)
	}
	logging, control := info.GetLoggingEndpoint().GetUrl(), info.GetControlEndpoint().GetUrl()
	if logging == "" || control == "" {
		return nil, fmt.Errorf("%s tells worker %s no address for its logs or its work", ask, id)
	}
	return []string{args[0], "--worker", "--id=" + id, "--logging_endpoint=" + logging, "--control_endpoint=" + control}, nil
}
