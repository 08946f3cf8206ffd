package main

import (
	"runtime/debug"
	"testing"
)

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
