package mail

import (
	"bytes"
	"errors"
	"flag"
	"html"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode/utf8"

	"github.com/google/go-cmp/cmp"
	"github.com/rogpeppe/go-internal/txtar"
	"pgregory.net/rapid"

	"github.com/vanwright/vanwright/cmd/internal/wordstest"
	"github.com/vanwright/vanwright/data"
)

var update = flag.Bool("update", false, "rewrite the digests in testdata")

// sets reads the two sets of reports in an archive; before is nil where it
// holds none.
func sets(t *testing.T, file string) (now, before *Set) {
	t.Helper()
	archive, err := txtar.ParseFile(file)
	if err != nil {
		t.Fatal(err)
	}
	folders := map[string]fstest.MapFS{}
	for _, f := range archive.Files {
		set, name, _ := strings.Cut(f.Name, "/")
		if folders[set] == nil {
			folders[set] = fstest.MapFS{}
		}
		folders[set][name] = &fstest.MapFile{Data: f.Data}
	}
	if now, err = Read(folders["now"]); err != nil {
		t.Fatal(err)
	}
	if folders["before"] == nil {
		return now, nil
	}
	if before, err = Read(folders["before"]); err != nil {
		t.Fatal(err)
	}
	return now, before
}

// reports is where the links of a page in a test lead.
const reports = "../reports/"

func written(t *testing.T, d Digest) (text, page string) {
	t.Helper()
	var txt, htm bytes.Buffer
	if err := errors.Join(d.Text(&txt), d.HTML(&htm, reports)); err != nil {
		t.Fatal(err)
	}
	return txt.String(), htm.String()
}

// A mail holds no code and no name of a file of the reports. What is said of the
// yard's own files names them: it is there that rows are put right.
func TestPeopleReadWords(t *testing.T) {
	books, err := data.LoadBooks(data.BuiltInBooks())
	if err != nil {
		t.Fatal(err)
	}
	unfit := wordstest.New(t, books)
	for _, name := range []string{"night", "old-version", "alone"} {
		now, before := sets(t, filepath.Join("testdata", name+".txtar"))
		d := Compare(now, before)
		said := append(slices.Concat(d.Lead, d.Foot), d.Title)
		for _, s := range d.Sections {
			said = append(said, s.Title, s.More)
			if s.At == atRejects || s.At == atWarnings || s.At == "index.html#do-data" || s.Title == "Rows not used" {
				continue
			}
			said = append(said, s.Note)
			for _, i := range s.Items {
				said = append(said, i.Text)
			}
			for _, f := range s.Figures {
				said = append(said, f.What)
			}
		}
		for _, text := range said {
			for _, why := range unfit.In(text) {
				t.Errorf("%s: the mail shows %s", name, why)
			}
		}
	}
}

// Whose team was planned with is said first, and once.
func TestADefaultTeamIsSaidFirst(t *testing.T) {
	now, before := sets(t, filepath.Join("testdata", "alone.txtar"))
	text, _ := written(t, Compare(now, before))
	const said = "planned with a default team"
	if lead, _, _ := strings.Cut(text, "\n---"); !strings.Contains(lead, "The workshop is "+said) || strings.Count(text, said) != 1 {
		t.Errorf("the mail begins with\n%s", text)
	}
}

// The figures in the digest of night.txtar were added up by hand from its tables.
func TestDigestsOfWholeSets(t *testing.T) {
	for _, name := range []string{"night", "old-version", "alone"} {
		t.Run(name, func(t *testing.T) {
			now, before := sets(t, filepath.Join("testdata", name+".txtar"))
			text, page := written(t, Compare(now, before))
			for file, got := range map[string]string{name + ".txt": text, name + ".html": page} {
				path := filepath.Join("testdata", file)
				if *update {
					if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
						t.Fatal(err)
					}
				}
				want, err := os.ReadFile(path)
				if err != nil {
					t.Fatal(err)
				}
				if diff := cmp.Diff(got, string(want)); diff != "" {
					t.Errorf("%s (-got +want):\n%s", file, diff)
				}
			}
			wantLines(t, text)
			wantSafePage(t, page)
		})
	}
}

// wantLines: every line of a mail has at most 78 characters (RFC 5322, section
// 2.1.1) and no character that does not print.
func wantLines(t interface{ Errorf(string, ...any) }, text string) {
	if !utf8.ValidString(text) {
		t.Errorf("not UTF-8: %q", text)
	}
	for line := range strings.Lines(text) {
		line = strings.TrimSuffix(line, "\n")
		if n := utf8.RuneCountInString(line); n > 78 {
			t.Errorf("%d characters: %q", n, line)
		}
		if plain(line) != strings.Join(strings.Fields(line), " ") {
			t.Errorf("characters that do not print: %q", line)
		}
	}
}

var (
	policyIn  = regexp.MustCompile(`<meta http-equiv="Content-Security-Policy" content="([^"]*)">`)
	styleIn   = regexp.MustCompile(`style="([^"]*)"`)
	elementIn = regexp.MustCompile(`<([a-zA-Z0-9]+)[^>]*>`)
)

// wantSafePage: the page asks for nothing, runs nothing, and has only the
// styles that its policy names.
func wantSafePage(t interface{ Errorf(string, ...any) }, page string) {
	found := policyIn.FindStringSubmatch(page)
	if found == nil {
		t.Errorf("no policy")
		return
	}
	policy := html.UnescapeString(found[1])
	if policy != securityPolicy || !strings.HasPrefix(policy, "default-src 'none'; ") || strings.Contains(policy, "unsafe-inline") {
		t.Errorf("policy %q", policy)
	}
	for _, style := range styleIn.FindAllStringSubmatch(page, -1) {
		known := false
		for _, css := range styles {
			known = known || css == html.UnescapeString(style[1])
		}
		if !known {
			t.Errorf("style %q is not in the policy", style[1])
		}
	}
	for _, element := range elementIn.FindAllStringSubmatch(page, -1) {
		if !strings.Contains(" html head meta title body div h1 h2 p table thead tbody tr th td ul li a b hr ", " "+element[1]+" ") {
			t.Errorf("element %s", element[0])
		}
	}
	elsewhere := strings.ReplaceAll(page, `href="`+reports, "")
	if strings.Contains(elsewhere, "://") || strings.Contains(elsewhere, "src=") || strings.Contains(elsewhere, "href=") {
		t.Errorf("the page leads elsewhere:\n%s", page)
	}
}

// The same sets give the same bytes.
func TestSameSetsGiveTheSameBytes(t *testing.T) {
	archive := filepath.Join("testdata", "night.txtar")
	now, before := sets(t, archive)
	text, page := written(t, Compare(now, before))
	for range 5 {
		now, before = sets(t, archive)
		again, pageAgain := written(t, Compare(now, before))
		if again != text || pageAgain != page {
			t.Fatal("the digest differs from one time to the next")
		}
	}
}

// rejects.csv holds the row as it was read, notes and all. No word of it is in
// a digest.
func TestNoNoteIsShown(t *testing.T) {
	now, before := sets(t, filepath.Join("testdata", "night.txtar"))
	text, page := written(t, Compare(now, before))
	if strings.Contains(text+page, "Ostler") {
		t.Error("the digest holds a note")
	}
}

func TestSetsThatCanNotBeRead(t *testing.T) {
	whole := func() fstest.MapFS {
		return fstest.MapFS{
			"run.json":   {Data: []byte(`{"as_of": "2026-03-09", "outputs": [{"name": "margin.csv"}]}`)},
			"margin.csv": {Data: []byte("stock_id,status\n")},
		}
	}
	if _, err := Read(whole()); err != nil {
		t.Fatal(err)
	}
	for _, tt := range []struct {
		name, want string
		harm       func(fstest.MapFS)
	}{
		{"without run.json", "run.json", func(f fstest.MapFS) { delete(f, "run.json") }},
		{"run.json is no JSON", "read run.json", func(f fstest.MapFS) { f["run.json"].Data = []byte("{") }},
		{"run.json without a day", `as_of is ""; expected a date`, func(f fstest.MapFS) { f["run.json"].Data = []byte("{}") }},
		{"a table that run.json names is gone", "read margin.csv", func(f fstest.MapFS) { delete(f, "margin.csv") }},
		{"a folder in the place of a table", "read margin.csv", func(f fstest.MapFS) { f["margin.csv"] = &fstest.MapFile{Mode: fs.ModeDir} }},
	} {
		t.Run(tt.name, func(t *testing.T) {
			set := whole()
			tt.harm(set)
			if _, err := Read(set); err == nil || !strings.Contains(err.Error(), tt.want) {
				t.Errorf("got %v, want %q", err, tt.want)
			}
		})
	}
	if _, err := Read(fstest.MapFS{}); !errors.Is(err, fs.ErrNotExist) {
		t.Errorf("no set: %v", err)
	}
}

// Whatever stands in the cells, the text keeps to its lines and the page to its
// elements, and no section's figures fall out of step.
func TestAnyCellsKeepTheFormat(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		cell := rapid.OneOf(
			rapid.StringN(0, 30, 60),
			rapid.SampledFrom([]string{"", "-1", "1e999", "NaN", "99999999", "2026-03-09", "1899-01-01", "ready", "sold", "asking", "<script>", "\u202eabc", "a\r\nSubject: b", strings.Repeat("x", 300)}),
		)
		quoted := func(label string) string {
			return `"` + strings.ReplaceAll(cell.Draw(t, label), `"`, `""`) + `"`
		}
		set := func(label string) *Set {
			folder := fstest.MapFS{"run.json": {Data: []byte(`{"as_of": "2026-03-10", "warnings": ["a\u0000b\nc"]}`)}}
			for _, table := range tables {
				var csv strings.Builder
				csv.WriteString(strings.Join(table.columns, ",") + ",maker,model\n")
				for range rapid.IntRange(0, 3).Draw(t, label) {
					csv.WriteString(rapid.SampledFrom([]string{"A1", "A2", `"` + strings.Repeat("y", 90) + `"`}).Draw(t, label))
					for range len(table.columns) + 1 {
						csv.WriteString("," + quoted(label))
					}
					csv.WriteString("\n")
				}
				folder[table.file] = &fstest.MapFile{Data: []byte(csv.String())}
			}
			s, err := Read(folder)
			if err != nil {
				t.Skip(err) // a quote in the wrong place
			}
			return s
		}
		d := Compare(set("now"), set("before"))
		var txt, htm bytes.Buffer
		if err := errors.Join(d.Text(&txt), d.HTML(&htm, reports)); err != nil {
			t.Fatal(err)
		}
		wantLines(t, txt.String())
		wantSafePage(t, htm.String())
	})
}
