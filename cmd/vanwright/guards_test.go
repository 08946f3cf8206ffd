package main

import (
	"go/ast"
	"go/parser"
	"go/token"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"

	"github.com/vanwright/vanwright/cmd/internal/policyfile"
	"github.com/vanwright/vanwright/data"
)

const module = "github.com/vanwright/vanwright/"

// source is a Go file of the repository that is not a test.
type source struct {
	name string // with slashes, from the top
	*ast.File
	set *token.FileSet
}

func (s source) at(n ast.Node) string {
	return s.name + ":" + strconv.Itoa(s.set.Position(n.Pos()).Line)
}

// imports are the paths that a file imports.
func (s source) imports() []string {
	var paths []string
	for _, i := range s.Imports {
		imported, _ := strconv.Unquote(i.Path.Value)
		paths = append(paths, imported)
	}
	return paths
}

// sources parses the repository, less its tests.
func sources(t *testing.T) []source {
	t.Helper()
	top := filepath.Join("..", "..")
	var all []source
	err := fs.WalkDir(os.DirFS(top), ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path.Ext(name) != ".go" || strings.HasSuffix(name, "_test.go") {
			return err
		}
		set := token.NewFileSet()
		file, err := parser.ParseFile(set, filepath.Join(top, name), nil, 0)
		all = append(all, source{name, file, set})
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if len(all) < 100 {
		t.Fatalf("found %d source files", len(all))
	}
	return all
}

// layers are the top folders in the order in which data flows: none imports a
// later one.
var layers = []string{"data", "appraise", "prep", "pricing", "cmd"}

func layerOf(name string) int {
	folder, _, _ := strings.Cut(name, "/")
	return slices.Index(layers, folder)
}

// generic are the packages that know nothing of vans: of the project they import
// only each other and data/parallel.
var generic = regexp.MustCompile(`^(prep/schedule|pricing/(hedonic|survival|pricepath)|data/(parallel|internal))(/|$)`)

func TestNoPackageKnowsALaterOne(t *testing.T) {
	for _, s := range sources(t) {
		layer := layerOf(s.name)
		if layer < 0 {
			t.Errorf("%s is in no layer", s.name)
		}
		for _, imported := range s.imports() {
			ours, ok := strings.CutPrefix(imported, module)
			if !ok {
				continue
			}
			if layerOf(ours) > layer {
				t.Errorf("%s imports %s, a later layer", s.name, ours)
			}
			if generic.MatchString(path.Dir(s.name)) && !generic.MatchString(ours) {
				t.Errorf("%s imports %s: its package knows nothing of vans", s.name, ours)
			}
		}
	}
}

// Files, flags, settings, logs, the clock and luck are the business of cmd.
func TestTheCoreIsPure(t *testing.T) {
	edge := regexp.MustCompile(`^(os(/.*)?|log(/.*)?|net|net/(http|rpc|mail|smtp|netip)(/.*)?|flag|syscall|github\.com/spf13/.*|github\.com/rs/zerolog.*)$`)
	for _, s := range sources(t) {
		if layerOf(s.name) == layerOf("cmd") || slices.Contains(s.imports(), "testing") { // which only tests import
			continue
		}
		for _, imported := range s.imports() {
			if edge.MatchString(imported) {
				t.Errorf("%s imports %s", s.name, imported)
			}
		}
		ast.Inspect(s.File, func(n ast.Node) bool {
			call, ok := n.(*ast.SelectorExpr)
			if !ok {
				return true
			}
			from, _ := call.X.(*ast.Ident)
			switch {
			case from == nil:
			case from.Name == "time" && slices.Contains([]string{"Now", "Since", "Until", "Sleep", "After", "Tick"}, call.Sel.Name):
				t.Errorf("%s asks the clock: time.%s", s.at(n), call.Sel.Name)
			case from.Name == "rand" && !slices.Contains([]string{"New", "NewPCG", "Rand", "Source", "PCG"}, call.Sel.Name):
				t.Errorf("%s draws by luck: rand.%s", s.at(n), call.Sel.Name)
			}
			return true
		})
	}
}

// Money has one owner of its rounding. Beside money.go the methods of decimals
// that round, divide or write figures are not called, nor is one made of a float.
func TestOnlyDataRoundsMoney(t *testing.T) {
	const owner = "data/money.go"
	rounding := []string{
		"Round", "RoundBank", "RoundCash", "RoundUp", "RoundDown", "RoundCeil", "RoundFloor", "Truncate", "Ceil", "Floor",
		"StringFixed", "StringFixedBank", "Div", "DivRound", "NewFromFloat", "NewFromFloatWithExponent", "NewFromFloat32",
	}
	found := 0
	for _, s := range sources(t) {
		ast.Inspect(s.File, func(n ast.Node) bool {
			if called, ok := n.(*ast.CallExpr); ok && ofTime(called) {
				return false
			}
			call, ok := n.(*ast.SelectorExpr)
			if !ok || !slices.Contains(rounding, call.Sel.Name) {
				return true
			}
			if from, _ := call.X.(*ast.Ident); from != nil && from.Name == "math" {
				return true // of floats that are no money
			}
			if s.name == owner {
				found++
			} else {
				t.Errorf("%s calls %s; ask %s", s.at(n), call.Sel.Name, owner)
			}
			return true
		})
	}
	if found < 5 {
		t.Errorf("%s rounds %d times: this test looks past it", owner, found)
	}
}

// ofTime reports whether a call takes a time, as in t.Round(5 * time.Minute).
func ofTime(call *ast.CallExpr) bool {
	found := false
	for _, arg := range call.Args {
		ast.Inspect(arg, func(n ast.Node) bool {
			if s, ok := n.(*ast.SelectorExpr); ok {
				from, _ := s.X.(*ast.Ident)
				found = found || from != nil && from.Name == "time"
			}
			return true
		})
	}
	return found
}

// What a checkpoint means belongs to the book and to appraise. Only made-up yards
// spell the codes. Words that mean something else as well, such as awning, which
// is equipment, are not looked for.
func TestNoCheckpointIsSpeltInCmd(t *testing.T) {
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	codes := map[string]bool{}
	for _, c := range books.Checkpoints {
		codes[c.Code] = strings.Contains(c.Code, "-") &&
			!slices.Contains(data.EquipmentWords, c.Code) && !slices.Contains(data.CoverWords, c.Code)
	}
	for _, s := range sources(t) {
		if layerOf(s.name) != layerOf("cmd") || strings.HasPrefix(s.name, "cmd/internal/sample/") {
			continue
		}
		for literal, at := range s.literals() {
			if codes[literal] {
				t.Errorf("%s spells the checkpoint %s", at, literal)
			}
		}
	}
	for _, pattern := range []string{"form/*.js", "form/*.html", "write/*/templates/*"} {
		pages, _ := filepath.Glob(filepath.Join("..", "internal", filepath.FromSlash(pattern)))
		if len(pages) == 0 {
			t.Errorf("no page fits %s", pattern)
		}
		for _, page := range pages {
			text, err := os.ReadFile(page)
			if err != nil {
				t.Fatal(err)
			}
			for _, literal := range regexp.MustCompile(`["'\x60]([a-z0-9-]+)["'\x60]`).FindAllStringSubmatch(string(text), -1) {
				if codes[literal[1]] {
					t.Errorf("%s spells the checkpoint %s", page, literal[1])
				}
			}
		}
	}
}

// The settings have one list of keys.
func TestOnlyPolicyfileSpellsTheSettings(t *testing.T) {
	keys := map[string]bool{}
	for _, k := range policyfile.Keys {
		keys[k.Name] = strings.Contains(k.Name, "_")
	}
	for _, s := range sources(t) {
		if strings.HasPrefix(s.name, "cmd/internal/policyfile/") || strings.HasPrefix(s.name, "cmd/vanwright-bench/") || layerOf(s.name) != layerOf("cmd") {
			continue
		}
		for literal, at := range s.literals() {
			if keys[literal] || keys[strings.ReplaceAll(literal, "-", "_")] {
				t.Errorf("%s spells the setting %s", at, literal)
			}
		}
	}
}

// literals are the strings of a file and where they stand.
func (s source) literals() map[string]string {
	found := map[string]string{}
	ast.Inspect(s.File, func(n ast.Node) bool {
		if literal, ok := n.(*ast.BasicLit); ok && literal.Kind == token.STRING {
			text, _ := strconv.Unquote(literal.Value)
			found[text] = s.at(n)
		}
		return true
	})
	return found
}
