package schema

import (
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

// What is left out because it was judged before never hides a fault: whatever node
// is spoiled, the short way and the whole way agree on whether something is wrong.
func TestTheShortWaySeesEveryFault(t *testing.T) {
	p, err := fhirSchema()
	if err != nil {
		t.Fatal(err)
	}
	text, err := os.ReadFile("../../testdata/bundles/03-term-duct-area-counted.json")
	if err != nil {
		t.Fatal(err)
	}
	doc, found := source.ReadJSON("b.json", text, source.ResourceLimits())
	if found.HasErrors() {
		t.Fatal(found)
	}
	spoiled := []source.Node{
		{Kind: source.String, Text: " "}, {Kind: source.String}, {Kind: source.Number, Text: "1.5"}, {Kind: source.Null},
		{Kind: source.Object}, {Kind: source.Array}, {Kind: source.Bool, Text: "true"},
		{Kind: source.Object, Members: []source.Member{{Name: "", Value: &source.Node{Kind: source.Array}}}},
	}
	var nodes []*source.Node
	everyNode(doc.Root, &nodes)
	wrong := map[bool]int{}
	for i := 0; i < len(nodes); i += len(nodes) / 250 {
		was := *nodes[i]
		*nodes[i] = spoiled[i%len(spoiled)]
		short := len(p.resource(newSorter(doc, true), doc.Root, ""))
		whole := len(p.resource(newSorter(doc, false), doc.Root, ""))
		if (short == 0) != (whole == 0) {
			t.Errorf("node %d, now %+v: %d findings the short way, %d the whole way", i, spoiled[i%len(spoiled)], short, whole)
		}
		wrong[whole > 0]++
		*nodes[i] = was
	}
	if wrong[true] < 100 || wrong[false] < 5 {
		t.Errorf("%d of the changes are faults and %d are not; both are wanted", wrong[true], wrong[false])
	}
}
