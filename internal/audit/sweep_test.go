package audit_test

import (
	"encoding/json"
	"fmt"
	"runtime"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"saltmark/internal/audit"
	"saltmark/internal/source"
)

// leaf is one text, number or truth value of a bundle.
type leaf struct {
	*source.Node
	name    string       // of the member that holds it
	holder  *source.Node // the object that has the member
	pointer string
	about   string // identity of its resource, and code of its component
}

// leavesOf gives every leaf of a bundle.
func leavesOf(doc *source.Document) []leaf {
	var all []leaf
	var visit func(l leaf)
	visit = func(l leaf) {
		switch l.Kind {
		case source.Object:
			l.about = aboutOf(l.Node, l.pointer, l.about)
			for _, m := range l.Members {
				visit(leaf{m.Value, m.Name, l.Node, l.pointer + source.Pointer(m.Name), l.about})
			}
		case source.Array:
			for i, item := range l.Items {
				visit(leaf{item, l.name, l.holder, l.pointer + "/" + strconv.Itoa(i), l.about})
			}
		default:
			all = append(all, l)
		}
	}
	visit(leaf{Node: doc.Root, about: "bundle"})
	return all
}

// aboutOf names what an object is about, where it is a resource or a component.
func aboutOf(n *source.Node, pointer, around string) string {
	if kind := n.Get("resourceType"); kind != nil && pointer != "" {
		around = kind.Text
		if id := n.Get("identifier"); id != nil && id.Items != nil {
			around = id.Items[0].Get("value").Text
			_, around, _ = strings.Cut(around, "/")
		}
	}
	if strings.Contains(pointer, "/component/") && n.Get("code") != nil && n.Get("code").Get("coding") != nil {
		around += " " + n.Get("code").Get("coding").Items[0].Get("code").Text
	}
	return around
}

// raw gives where the leaf stands in the text.
func (l leaf) raw(text []byte) (from, to int) {
	from = l.Offset
	if l.Kind != source.String {
		return from, from + len(l.Text)
	}
	for to = from + 1; text[to] != '"'; to++ {
		if text[to] == '\\' {
			to++
		}
	}
	return from, to + 1
}

// with gives the text with another value of the leaf.
func (l leaf) with(text []byte, now string) []byte {
	if l.Kind == source.String {
		quoted, err := json.Marshal(now)
		if err != nil {
			panic(err)
		}
		now = string(quoted)
	}
	from, to := l.raw(text)
	return slices.Concat(text[:from], []byte(now), text[to:])
}

// sweep changes one leaf at a time, as change says ("" leaves it), and lists those
// whose change no error follows.
func sweep(t *testing.T, name string, step int, change func(leaf) string) (tried int, missed []string) {
	t.Helper()
	doc, found := source.ReadJSON(name, golden(t, name), source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	type edit struct {
		leaf
		now string
	}
	var edits []edit
	for _, l := range leavesOf(doc) {
		if now := change(l); now != "" && now != l.Text {
			edits = append(edits, edit{l, now})
		}
	}
	var wait sync.WaitGroup
	var lock sync.Mutex
	workers := runtime.GOMAXPROCS(0)
	for k := range workers {
		wait.Go(func() {
			for i := k * step; i < len(edits); i += workers * step {
				e := edits[i]
				caught := audit.Check(name, e.with(doc.Text, e.now), audit.Options{}).HasErrors()
				lock.Lock()
				tried++
				if !caught {
					missed = append(missed, fmt.Sprintf("%s of %s: %s, now %s (%s)", e.name, e.about, e.Text, e.now, e.pointer))
				}
				lock.Unlock()
			}
		})
	}
	wait.Wait()
	slices.Sort(missed)
	return tried, missed
}

// lastDigit changes the last digit of a number.
func lastDigit(l leaf) string {
	if l.Kind != source.Number {
		return ""
	}
	last := l.Text[len(l.Text)-1]
	next := byte('0') + (last-'0'+1)%10
	if l.Text == "9" {
		next = '8'
	}
	return l.Text[:len(l.Text)-1] + string(next)
}

// anHourOn moves a moment by an hour, a date by a day.
func anHourOn(l leaf) string {
	if at, err := time.Parse(time.RFC3339, l.Text); err == nil {
		return at.Add(time.Hour).Format(time.RFC3339)
	}
	if at, err := time.Parse(time.DateOnly, l.Text); err == nil {
		return at.AddDate(0, 0, 1).Format(time.DateOnly)
	}
	return ""
}

// anotherWord changes any text.
func anotherWord(l leaf) string {
	if l.Kind != source.String {
		return ""
	}
	last := l.Text[len(l.Text)-1]
	if last == 'e' {
		return l.Text[:len(l.Text)-1] + "a"
	}
	return l.Text[:len(l.Text)-1] + "e"
}

func TestNoNumberOfABundleCanBeChangedUnnoticed(t *testing.T) {
	tried, missed := sweep(t, "01-plain-infant", inShort(1, 8), lastDigit)
	judgeSweep(t, tried, missed)
}

func TestNoTimeOfABundleCanBeMovedUnnoticed(t *testing.T) {
	tried, missed := sweep(t, "01-plain-infant", inShort(1, 8), anHourOn)
	judgeSweep(t, tried, missed)
}

func TestNoCodeLabelUnitOrStatusOfABundleCanBeExchangedUnnoticed(t *testing.T) {
	tried, missed := sweep(t, "01-plain-infant", inShort(1, 24), anotherCode(t))
	judgeSweep(t, tried, missed)
}

func TestNoWordOfABundleCanBeChangedUnnoticed(t *testing.T) {
	tried, missed := sweep(t, "01-plain-infant", inShort(12, 96), anotherWord)
	judgeSweep(t, tried, missed)
}

func TestNoWordOfADocumentCanBeChangedUnnoticed(t *testing.T) {
	tried, missed := sweep(t, "01-plain-infant.document.json", inShort(40, 192), anotherWord)
	judgeSweep(t, tried, missed)
}

// inShort gives a step for the whole run and one for the short.
func inShort(whole, short int) int {
	if testing.Short() {
		return short
	}
	return whole
}

// judgeSweep wants every change to be noticed.
func judgeSweep(t *testing.T, tried int, missed []string) {
	t.Helper()
	t.Logf("%d changes tried, %d of them told by nothing", tried, len(missed))
	if tried < inShort(40, 8) {
		t.Errorf("only %d changes were tried", tried)
	}
	for _, m := range missed {
		t.Errorf("unnoticed: %s", m)
	}
}
