package report

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"slices"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

// Known are the findings of an earlier report, by what stays the same when lines move:
// rule, file and pointer. Several that are alike are counted. It is for one goroutine at
// a time.
type Known struct {
	baseline Baseline
	left     map[known]rest
}

// known is what a finding is known by, whatever line it moves to.
type known struct{ rule, file, pointer string }

// rest is how many are not found again, and how grave they were.
type rest struct {
	n        int
	severity string
}

// ReadKnown reads the report of an earlier run in JSON. The error says why it is none.
// shown gives the name under which a file of that run is known in this one.
func ReadKnown(doc *source.Document, shown func(string) string) (*Known, error) {
	root := doc.Root
	if kind := root.Get("report"); kind == nil || kind.Text != runReportName {
		return nil, finding.Refuse("the file is no report of a run in JSON (--report FILE.json)")
	}
	if version := root.Get("version"); version == nil || version.Text != runReportVersion {
		return nil, finding.Refuse("the report is of another version; {1} is read", finding.Data(runReportVersion))
	}
	sum := sha256.Sum256(doc.Text)
	k := &Known{baseline: Baseline{Name: doc.Name, SHA256: hex.EncodeToString(sum[:])}, left: map[known]rest{}}
	for _, d := range items(root, "documents") {
		for _, f := range items(d, "findings") {
			place := f.Get("place")
			key := known{member(f, "rule"), shown(member(place, "file")), member(place, "pointer")}
			k.left[key] = rest{k.left[key].n + 1, member(f, "severity")}
		}
	}
	return k, nil
}

// What a report of a run says that it is.
const (
	runReportName    = "saltmark-run"
	runReportVersion = "1"
)

func items(n *source.Node, name string) []*source.Node {
	if list := n.Get(name); list != nil {
		return list.Items
	}
	return nil
}

func member(n *source.Node, name string) string {
	if m := n.Get(name); m != nil {
		return m.Text
	}
	return ""
}

// Compare tells of each finding whether the earlier report had it.
func (k *Known) Compare(found finding.List) []State {
	states := make([]State, len(found))
	for i, f := range found {
		key := known{f.Rule, f.Place.File, f.Place.Pointer}
		if was := k.left[key]; was.n > 0 {
			k.left[key] = rest{was.n - 1, was.severity}
			k.baseline.Remaining++
			states[i] = Remaining
			continue
		}
		k.baseline.New++
		states[i] = IsNew
	}
	return states
}

// Baseline gives what became of the earlier findings, once all documents were compared.
func (k *Known) Baseline() *Baseline {
	b := k.baseline
	for key, was := range k.left {
		for range was.n {
			b.Gone = append(b.Gone, Gone{key.rule, was.severity, key.file, key.pointer})
		}
	}
	slices.SortFunc(b.Gone, func(a, c Gone) int {
		return cmp.Or(cmp.Compare(a.File, c.File), cmp.Compare(a.Pointer, c.Pointer), cmp.Compare(a.Rule, c.Rule))
	})
	return &b
}
