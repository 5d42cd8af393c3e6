package schema

import (
	"cmp"
	_ "embed"
	"maps"
	"slices"
	"sync"

	"saltmark/internal/finding"
	"saltmark/internal/source"
)

//go:generate go run ./cut

//go:embed fhir.schema.cut.json
var fhirText []byte

// anyResource is the definition of the cut that stands where any resource may.
const anyResource = "ResourceList"

// fhirSchema is the cut, with a list for each resource type at its root: resources
// are handed to the library sorted by their type, and where one stood inside
// another the library sees nothing. It never has to try types.
var fhirSchema = sync.OnceValues(prepareFHIR)

func prepareFHIR() (*prepared, error) {
	return prepare("fhir.schema.cut.json", fhirText, func(root map[string]any) {
		definitions := root["definitions"].(map[string]any)
		definitions[anyResource] = true
		lists := map[string]any{}
		for name := range definitions {
			if isResource(definitions[name]) {
				lists[name] = map[string]any{"items": reference(name)}
			}
		}
		root["properties"] = lists
	})
}

func reference(name string) map[string]any {
	return map[string]any{"$ref": "#/definitions/" + name}
}

// isResource tells whether a definition of the cut is that of a resource.
func isResource(definition any) bool {
	s, _ := definition.(map[string]any)
	properties, _ := s["properties"].(map[string]any)
	return properties["resourceType"] != nil
}

// CheckFHIR judges a document that holds one FHIR R4 resource; in a Bundle each
// entry's resource is judged by its own type, and so is each contained one. Types
// of R4 that the cut leaves out get a finding of severity information and are not
// judged. m remembers from document to document and may be nil.
func CheckFHIR(doc *source.Document, m *Memory) finding.List {
	return CheckResource(doc, doc.Root, "", m)
}

// CheckResource judges the resource at node, whose JSON pointer is pointer.
func CheckResource(doc *source.Document, node *source.Node, pointer string, m *Memory) finding.List {
	if node == nil {
		return nil
	}
	p, err := fhirSchema()
	if err != nil {
		return finding.List{unreadable(doc, node, pointer)}
	}
	// What stands in many resources, or in many documents, alike is judged once. Only
	// where nothing is wrong does that tell the whole.
	known := m.take()
	if list := p.resource(newSorter(doc, known), node, pointer); len(list) == 0 {
		m.giveBack(known)
		return nil
	}
	return p.resource(newSorter(doc, nil), node, pointer)
}

// resource judges a resource and those it holds.
func (p *prepared) resource(s *sorter, node *source.Node, pointer string) finding.List {
	s.resource(node, pointer)
	list := append(s.list, s.findings(s.doc, node, pointer)...)
	faults, err := p.judge(s.sorted())
	if err != nil {
		list = append(list, unreadable(s.doc, node, pointer))
		list.Sort()
		return list
	}
	refused := places(list)
	faults, left := firstOf(withoutNoise(faults))
	if left > 0 {
		list = append(list, finding.New("more-findings", s.doc.Place(node, pointer), finding.Say("{1} more faults of shape were found", finding.Number(left)), "", "they are not told one by one"))
	}
	for _, f := range faults {
		if found := f.finding(s.scene(p, f)); !refused[found.Place.Pointer] {
			list = append(list, found)
		}
	}
	list.Sort()
	return list
}

// mostFaults is how many faults of shape of one document are told: more tell
// nothing more, and a hostile document has as many as it likes.
const mostFaults = 200

// firstOf gives the first faults by their place, and how many are left.
func firstOf(faults []fault) (_ []fault, left int) {
	if len(faults) <= mostFaults {
		return faults, 0
	}
	slices.SortStableFunc(faults, func(a, b fault) int {
		return cmp.Or(slices.Compare(a.path, b.path), cmp.Compare(a.kind, b.kind), cmp.Compare(text(a.details["property"]), text(b.details["property"])))
	})
	return faults[:mostFaults], len(faults) - mostFaults
}

// resourceTypes are those of R4: true for one that the cut holds.
type resourceTypes map[string]bool

var fhirTypes = sync.OnceValue(func() resourceTypes {
	types := resourceTypes{}
	root, err := decode(fhirText)
	if err != nil {
		return types
	}
	definitions, _ := root["definitions"].(map[string]any)
	holder, _ := definitions[anyResource].(map[string]any)
	properties, _ := holder["properties"].(map[string]any)
	typeName, _ := properties["resourceType"].(map[string]any)
	list, _ := typeName["enum"].([]any)
	for _, v := range list {
		types[text(v)] = isResource(definitions[text(v)])
	}
	return types
})

// IsType tells whether a name is that of a resource type of FHIR R4, judged or not.
func IsType(name string) bool {
	_, known := fhirTypes()[name]
	return known
}

// advice says what to write instead of a name that is no type.
func (t resourceTypes) advice(name string) finding.Text {
	if near, ok := source.Nearest(name, slices.Sorted(maps.Keys(t))); ok {
		return finding.Say("did you mean {1}?", finding.Quoted(near))
	}
	return "the name of a resource type of FHIR R4 is wanted"
}
