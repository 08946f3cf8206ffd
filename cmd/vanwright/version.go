package main

import (
	"cmp"
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
