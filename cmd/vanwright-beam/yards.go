package main

import (
	"bufio"
	"cmp"
	"context"
	"fmt"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"github.com/apache/beam/sdks/v2/go/pkg/beam/io/filesystem"
)

// Yard is one yard of the group: the element that the pipeline starts from.
type Yard struct {
	Name    string // as the reports call it
	Path    string // of its tables
	Reports string // folder of its own reports of its last run; blank: none
	Shard   int    // which part of each report its rows go to, from 0
}

// findYards returns the yards of a folder, a pattern or a list, by name. Each
// folder within a folder is a yard, whether or not it holds tables: one that
// holds none is to be heard of. Names that begin with a point are left out.
func findYards(ctx context.Context, o options) ([]Yard, error) {
	var yards []Yard
	var err error
	switch {
	case o.List != "":
		yards, err = listed(o.List)
	case remote(o.Yards):
		yards, err = remoteYards(ctx, o.Yards)
	case strings.ContainsAny(o.Yards, "*?["):
		yards, err = matched(o.Yards)
	default:
		yards, err = within(o.Yards)
	}
	if err != nil {
		return nil, err
	}
	if len(yards) == 0 {
		return nil, fmt.Errorf("no yards in %s", cmp.Or(o.List, o.Yards))
	}
	slices.SortFunc(yards, func(a, b Yard) int { return cmp.Compare(a.Name, b.Name) })
	for i := range yards {
		y := &yards[i]
		if i > 0 && y.Name == yards[i-1].Name {
			return nil, fmt.Errorf("the yard %s stands twice", y.Name)
		}
		if y.Path, err = absolute(y.Path); err != nil {
			return nil, err
		}
		if o.Reports != "" {
			y.Reports = join(o.Reports, y.Name)
		}
		y.Shard = i * o.Shards / len(yards)
	}
	return yards, nil
}

// within returns the folders of a folder.
func within(dir string) ([]Yard, error) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return nil, fmt.Errorf("look for yards: %w", err)
	}
	var yards []Yard
	for _, e := range entries {
		at := filepath.Join(dir, e.Name())
		if strings.HasPrefix(e.Name(), ".") || !isFolder(at) {
			continue
		}
		yards = append(yards, Yard{Name: e.Name(), Path: at})
	}
	return yards, nil
}

// matched returns the folders that match a pattern. Their names begin after
// the part of the pattern that is the same for all.
func matched(pattern string) ([]Yard, error) {
	paths, err := filepath.Glob(pattern)
	if err != nil {
		return nil, fmt.Errorf("look for yards %s: %w", pattern, err)
	}
	before := len(fixedPart(filepath.ToSlash(pattern)))
	var yards []Yard
	for _, at := range paths {
		name := filepath.ToSlash(at)[before:]
		if !strings.Contains("/"+name, "/.") && isFolder(at) {
			yards = append(yards, Yard{Name: name, Path: at})
		}
	}
	return yards, nil
}

// fixedPart is the pattern up to the slash before its first wild card.
func fixedPart(pattern string) string {
	wild := strings.IndexAny(pattern, "*?[")
	return pattern[:strings.LastIndex(pattern[:wild], "/")+1]
}

// listed reads the paths of yards from a file, one on each line, which also
// name them. Blank lines and lines that begin with # are left out.
func listed(file string) ([]Yard, error) {
	f, err := os.Open(file)
	if err != nil {
		return nil, fmt.Errorf("read the list of yards: %w", err)
	}
	defer f.Close()
	var yards []Yard
	lines := bufio.NewScanner(f)
	for lines.Scan() {
		line := strings.TrimSpace(strings.TrimPrefix(lines.Text(), "\ufeff"))
		if line != "" && !strings.HasPrefix(line, "#") {
			yards = append(yards, Yard{Name: line, Path: strings.TrimRight(line, "/")})
		}
	}
	if err := lines.Err(); err != nil {
		return nil, fmt.Errorf("read the list of yards %s: %w", file, err)
	}
	return yards, nil
}

// remoteYards returns the folders of a store that hold any file. A store knows
// files alone, so that an empty folder is none.
func remoteYards(ctx context.Context, where string) ([]Yard, error) {
	folders := strings.TrimRight(where, "/")
	if scheme := strings.Index(folders, "://") + len("://"); !strings.ContainsAny(folders[scheme:], "*?[") {
		folders += "/*"
	}
	store, err := filesystem.New(ctx, folders)
	if err != nil {
		return nil, err
	}
	defer store.Close()
	files, err := store.List(ctx, folders+"/*")
	if err != nil {
		return nil, fmt.Errorf("look for yards %s: %w", where, err)
	}
	before := len(fixedPart(folders))
	var yards []Yard
	seen := map[string]bool{}
	for _, file := range files {
		if strings.Count(file, "/") != strings.Count(folders+"/*", "/") {
			continue // in a slip of a yard: in some stores * takes in slashes
		}
		scheme, rest, _ := strings.Cut(file, "://")
		at := scheme + "://" + path.Dir(rest)
		if name := at[before:]; !seen[name] && !strings.HasPrefix(name, ".") {
			seen[name] = true
			yards = append(yards, Yard{Name: name, Path: at})
		}
	}
	return yards, nil
}

// remote reports whether a path is of a store such as gs://bucket/yards.
func remote(path string) bool { return strings.Contains(path, "://") }

// absolute is a path as every worker understands it.
func absolute(path string) (string, error) {
	if remote(path) {
		return strings.TrimRight(path, "/"), nil
	}
	return filepath.Abs(path)
}

// join puts a name behind a path of either sort.
func join(at, name string) string {
	if remote(at) {
		return strings.TrimRight(at, "/") + "/" + name
	}
	return filepath.Join(at, filepath.FromSlash(name))
}

func isFolder(at string) bool {
	info, err := os.Stat(at)
	return err == nil && info.IsDir()
}
