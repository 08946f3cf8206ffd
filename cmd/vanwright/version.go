package main

import (
	"cmp"
	"fmt"
	goversion "go/version"
	"runtime"
	"runtime/debug"
	"strings"
)

// version is the program's version where the build knows it.
func version() string {
	info, ok := debug.ReadBuildInfo()
	if !ok {
		return devel
	}
	return versionOf(info)
}

const devel = "(devel)"

// releaseToolchain is the Go that go.mod names: releases and CI are built with it.
const releaseToolchain = "go1.26.10"

// builtWith is a sentence where the program was built with an older Go, whose
// standard library has faults that are mended since; blank where it was not.
func builtWith(toolchain string) string {
	if !goversion.IsValid(toolchain) || goversion.Compare(toolchain, releaseToolchain) >= 0 {
		return ""
	}
	return fmt.Sprintf("built with %s, whose standard library has known faults: build it with %s or later, as releases are\n", toolchain, releaseToolchain)
}

// versionText is what --version prints.
func versionText() string { return "vanwright " + version() + "\n" + builtWith(runtime.Version()) }

// versionOf is the module's version for a build of a tagged one, as by go
// install …@v1.2.3 or in a checkout of that tag. A build of a checkout between
// tags gives the version that Go derives from the tag before, with "+dirty" for
// files that are not committed. Where there is no tag, the first twelve digits of
// the commit say more than a version that was made up from it.
func versionOf(info *debug.BuildInfo) string {
	stamp := map[string]string{}
	for _, s := range info.Settings {
		stamp[s.Key] = s.Value
	}
	version, revision := info.Main.Version, stamp["vcs.revision"]
	untagged := version == "" || version == devel || strings.HasPrefix(version, "v0.0.0-")
	if !untagged || revision == "" {
		return cmp.Or(version, devel)
	}
	text := devel + " " + revision[:min(12, len(revision))]
	if stamp["vcs.modified"] == "true" {
		text += "+dirty"
	}
	return text
}
