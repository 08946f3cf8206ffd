package main

import (
	"os"
	"path/filepath"
	"runtime/debug"
	"strings"
	"testing"
)

func TestOlderToolchainIsSaid(t *testing.T) {
	mod, err := os.ReadFile(filepath.Join("..", "..", "go.mod"))
	if err != nil {
		t.Fatal(err)
	}
	if !strings.Contains(string(mod), "\ntoolchain "+releaseToolchain+"\n") {
		t.Errorf("go.mod names another toolchain than %s", releaseToolchain)
	}
	for toolchain, said := range map[string]bool{
		"go1.26.8": true, "go1.26": true, "go1.26.10": false, "go1.26.11": false, "go1.27": false, "go1.27rc1": false, "devel go1.27-abc": false,
	} {
		if text := builtWith(toolchain); (text != "") != said {
			t.Errorf("built with %s: %q", toolchain, text)
		}
	}
}

func TestVersionOfABuild(t *testing.T) {
	const commit = "1ceff722c0f0b80b8d1881c68b493a4c946c62aa"
	stamped := func(modified string) []debug.BuildSetting {
		return []debug.BuildSetting{{Key: "vcs", Value: "git"}, {Key: "vcs.revision", Value: commit}, {Key: "vcs.modified", Value: modified}}
	}
	for _, tt := range []struct {
		name, module string
		settings     []debug.BuildSetting
		want         string
	}{
		{"a tagged version", "v1.2.3", nil, "v1.2.3"},
		{"a checkout of a tag", "v1.2.3", stamped("false"), "v1.2.3"},
		{"a checkout of a tag with changes", "v1.2.3+dirty", stamped("true"), "v1.2.3+dirty"},
		{"after a tag", "v1.2.4-0.20260310101112-1ceff722c0f0", stamped("false"), "v1.2.4-0.20260310101112-1ceff722c0f0"},
		{"before any tag", "v0.0.0-20260310101112-1ceff722c0f0", stamped("false"), "(devel) 1ceff722c0f0"},
		{"before any tag, with changes", "v0.0.0-20260310101112-1ceff722c0f0+dirty", stamped("true"), "(devel) 1ceff722c0f0+dirty"},
		{"an older Go in a checkout", "(devel)", stamped("true"), "(devel) 1ceff722c0f0+dirty"},
		{"before any tag, got as a module", "v0.0.0-20260310101112-1ceff722c0f0", nil, "v0.0.0-20260310101112-1ceff722c0f0"},
		{"no stamp at all, as in a test", "(devel)", nil, "(devel)"},
		{"nothing", "", nil, "(devel)"},
	} {
		t.Run(tt.name, func(t *testing.T) {
			info := &debug.BuildInfo{Main: debug.Module{Version: tt.module}, Settings: tt.settings}
			if got := versionOf(info); got != tt.want {
				t.Errorf("got %q, want %q", got, tt.want)
			}
		})
	}
}
