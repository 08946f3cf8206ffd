package main

import (
	"fmt"
	"net"

	"github.com/spf13/cobra"
	"github.com/spf13/viper"

	"github.com/vanwright/vanwright/cmd/internal/keep/serve"
)

// anyLoopbackPort is a free port that only this machine can reach.
const anyLoopbackPort = "127.0.0.1:0"

func newOpenCommand(v *viper.Viper) *cobra.Command {
	cmd := &cobra.Command{
		Use:   "open [--reports DIR] [--listen ADDR]",
		Short: "show the reports in a browser on this machine, for reading only",
		Long: `Open shows a folder of reports to a browser until it is stopped (Ctrl-C), and
prints the address to go to. It changes nothing, and what a later run puts in
the folder shows at the next click.

Only this machine can reach it, unless --listen says otherwise: with
--listen 0.0.0.0:8088 every device of the network can read the reports, with
cost prices and the identity of every van. There is no password.

Without --reports it shows vanwright-demo/reports where that exists, or else
reports.
` + exitHelp,
		Args: cobra.NoArgs,
		RunE: func(cmd *cobra.Command, _ []string) error {
			if err := bindFlags(v, cmd, "reports", "listen"); err != nil {
				return err
			}
			return runOpen(cmd, v.GetString("reports"), v.GetString("listen"))
		},
	}
	cmd.Flags().String("reports", "", "`DIR` of the reports")
	cmd.Flags().String("listen", anyLoopbackPort, "`ADDR` to listen at, host:port")
	return cmd
}

func runOpen(cmd *cobra.Command, dir, listen string) error {
	if dir == "" {
		dir = usualReports()
	}
	reports, err := serve.Open(dir)
	if err != nil {
		return err
	}
	if _, _, err := net.SplitHostPort(listen); err != nil {
		return usagef("--listen is %q; expected host:port such as %s", listen, anyLoopbackPort)
	}
	var lc net.ListenConfig
	l, err := lc.Listen(cmd.Context(), "tcp", listen)
	if err != nil {
		return fmt.Errorf("listen at %s: %w", listen, err)
	}
	out := cmd.OutOrStdout()
	fmt.Fprintf(out, "%s is shown at http://%s/\n", dir, l.Addr())
	if tcp, ok := l.Addr().(*net.TCPAddr); ok && !tcp.IP.IsLoopback() {
		fmt.Fprintln(out, "every device that reaches this address can read it, cost prices included")
	}
	fmt.Fprintln(out, "stop with Ctrl-C")
	if err := serve.Run(cmd.Context(), l, reports); err != nil {
		return fmt.Errorf("show the reports: %w", err)
	}
	return nil
}
