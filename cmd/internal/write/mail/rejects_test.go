package mail

import (
	"fmt"
	"strings"
	"testing"
	"testing/fstest"
)

// manyRejects is a set of reports with n rejected rows, each for a reason of its own:
// a code that is in no book, with a word that may have been meant.
func manyRejects(t testing.TB, n int) *Set {
	t.Helper()
	var rows strings.Builder
	rows.WriteString("file,line,column,value,expected,row\n")
	for i := range n {
		fmt.Fprintf(&rows, "readings.csv,%d,checkpoint,x%d,a code of the checkpoint book such as x%d,\n", i+2, i, i+1)
	}
	run := fmt.Sprintf(`{"as_of":"2026-03-09","inputs":[{"name":"readings.csv","read":%d,"accepted":0,"rejected":%d}],"outputs":[]}`, n, n)
	set, err := Read(fstest.MapFS{"run.json": {Data: []byte(run)}, "rejects.csv": {Data: []byte(rows.String())}})
	if err != nil {
		t.Fatal(err)
	}
	return set
}

// 45,000 of them took two minutes once: the work grew with their square.
func TestManyRejectsForAsManyReasons(t *testing.T) {
	before, now := manyRejects(t, 100_000), manyRejects(t, 100_001)
	if len(now.rejects) != 100_001 {
		t.Errorf("%d reasons", len(now.rejects))
	}
	for _, s := range Compare(now, before).Sections {
		if s.Title == "Rows rejected" && (len(s.Items) != rejectsShown || s.More != "and 99,995 more, in rejects.csv") {
			t.Errorf("%d shown, %s", len(s.Items), s.More)
		}
	}
}

func BenchmarkRejects(b *testing.B) {
	for _, n := range []int{1_000, 10_000, 100_000} {
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			for b.Loop() {
				Compare(manyRejects(b, n), manyRejects(b, n))
			}
			b.ReportMetric(float64(b.Elapsed().Nanoseconds())/float64(b.N*n), "ns/row")
		})
	}
}
