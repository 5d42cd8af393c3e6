package schema

import (
	"fmt"
	"os"
	"testing"

	"saltmark/internal/source"
)

// everyNode gives the nodes below one.
func everyNode(n *source.Node, all *[]*source.Node) {
	*all = append(*all, n)
	for i := range n.Members {
		everyNode(n.Members[i].Value, all)
	}
	for _, item := range n.Items {
		everyNode(item, all)
	}
}

// spoilt are values that a node may be replaced by.
var spoilt = []source.Node{
	{Kind: source.String, Text: " "}, {Kind: source.String}, {Kind: source.Number, Text: "1.5"}, {Kind: source.Number, Text: "1e999"}, {Kind: source.Null},
	{Kind: source.Object}, {Kind: source.Array}, {Kind: source.Bool, Text: "true"},
	{Kind: source.Object, Members: []source.Member{{Name: "", Value: &source.Node{Kind: source.Array}}}},
}

// What is left out because it was judged before, in the same document or in others,
// never hides a fault: whatever node is spoiled or taken away, the short ways and the
// whole way agree on whether something is wrong.
func TestTheShortWaySeesEveryFault(t *testing.T) {
	p, err := fhirSchema()
	if err != nil {
		t.Fatal(err)
	}
	doc := goldenBundle(t, "03-term-duct-area-counted")
	others := &Memory{}
	for _, name := range []string{"01-plain-infant", "03-term-duct-area-counted", "22-full"} {
		if list := CheckFHIR(goldenBundle(t, name), others); len(list) > 0 {
			t.Fatal(list)
		}
	}
	var nodes []*source.Node
	everyNode(doc.Root, &nodes)
	wrong := map[bool]int{}
	for i := 0; i < len(nodes); i += len(nodes) / 250 {
		was := *nodes[i]
		switch n := nodes[i]; {
		case i%3 == 0 && len(was.Members) > 1: // one member taken away
			gone := i % len(was.Members)
			n.Members = append(append([]source.Member(nil), was.Members[:gone]...), was.Members[gone+1:]...)
		default:
			*n = spoilt[i%len(spoilt)]
		}
		short := len(p.resource(newSorter(doc, (*Memory)(nil).take()), doc.Root, "")) > 0
		known := len(p.resource(newSorter(doc, others.take()), doc.Root, "")) > 0
		whole := len(p.resource(newSorter(doc, nil), doc.Root, "")) > 0
		if short != whole || known != whole {
			t.Errorf("node %d, was %+v, now %+v: a fault %t, the short way %t, with what others held %t", i, was, nodes[i], whole, short, known)
		}
		wrong[whole]++
		*nodes[i] = was
	}
	if wrong[true] < 100 || wrong[false] < 5 {
		t.Errorf("%d of the changes are faults and %d are not; both are wanted", wrong[true], wrong[false])
	}
}

// A name that is required is missed wherever it is missing, also where all that is
// left was seen before.
func TestARequiredMemberIsMissedInEveryObject(t *testing.T) {
	others := &Memory{}
	for _, name := range []string{"01-plain-infant", "01-plain-infant"} {
		CheckFHIR(goldenBundle(t, name), others)
	}
	doc := goldenBundle(t, "01-plain-infant")
	tried := 0
	var visit func(n *source.Node)
	visit = func(n *source.Node) {
		for i, m := range n.Members {
			if kind := n.Get("resourceType"); kind != nil && kind.Text == "Procedure" {
				continue // where a code may be missing
			}
			if m.Name == "code" && m.Value.Kind == source.Object {
				all := n.Members
				n.Members = append(append([]source.Member(nil), all[:i]...), all[i+1:]...)
				tried++
				if list := CheckFHIR(doc, others); len(list) != 1 || list[0].Rule != "schema-required" {
					t.Errorf("without a code: %v", list)
				}
				n.Members = all
			}
			visit(m.Value)
		}
		for _, item := range n.Items {
			visit(item)
		}
	}
	visit(doc.Root)
	if tried < 50 {
		t.Errorf("%d objects have a code, more are wanted", tried)
	}
}

// What was wrong once is wrong again, and what came after it is judged as ever.
func TestAFaultIsNotRemembered(t *testing.T) {
	m := &Memory{}
	doc := goldenBundle(t, "01-plain-infant")
	status := doc.Find("/entry/0/resource/resourceType")
	was := status.Text
	for range 3 {
		if list := CheckFHIR(doc, m); len(list) > 0 {
			t.Fatal(list)
		}
		status.Text = "Observation"
		if list := CheckFHIR(doc, m); len(list) == 0 {
			t.Fatal("the fault is not seen")
		}
		status.Text = was
	}
}

func goldenBundle(t *testing.T, name string) *source.Document {
	t.Helper()
	text, err := os.ReadFile("../../testdata/bundles/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	doc, found := source.ReadJSON(name, text, source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	return doc
}

// Notes stay small however many documents they have seen.
func TestAMemoryIsBounded(t *testing.T) {
	m := &Memory{}
	doc := goldenBundle(t, "01-plain-infant")
	first := doc.Find("/entry/0/fullUrl")
	var size int
	for i := range 300 {
		first.Text = "urn:uuid:00000000-0000-5000-8000-" + fmt.Sprintf("%012d", i)
		if list := CheckFHIR(doc, m); len(list) > 0 {
			t.Fatal(list)
		}
		if i == 5 {
			size = m.free[0].size
		}
	}
	if len(m.free) != 1 || m.free[0].size != size {
		t.Errorf("%d sets of notes, of %d places after 6 documents and %d after 300", len(m.free), size, m.free[0].size)
	}
	at := m.free[0].place("Bundle", "entry").below["fullUrl"]
	if len(at.values) != mostValues {
		t.Errorf("%d addresses are remembered, at most %d are wanted", len(at.values), mostValues)
	}
}
