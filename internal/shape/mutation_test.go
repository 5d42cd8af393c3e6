package shape

import (
	"fmt"
	"maps"
	"slices"
	"strings"
	"testing"

	"saltmark/internal/source"
)

// wrong is an instance with one fault, the rule meant for it and where it stands below
// the instance.
type wrong struct {
	what    string
	n       *source.Node
	rule    string
	pointer string
}

// wrongForms are texts and numbers that a form does not have, with the rule for each.
var wrongForms = map[form][][2]string{
	base64Binary: {{"YWI", "schema-pattern"}, {"YW=I", "schema-pattern"}, {"Y===", "schema-pattern"}, {"YW*=", "schema-pattern"}},
	canonical:    {{"urn: x", "schema-pattern"}},
	code:         {{" x", "schema-pattern"}, {"x  y", "schema-pattern"}},
	date:         {{"2031-02-30", "time-not-real"}, {"2031-5-3", "time-not-real"}, {"2031-05-03T14:30:00Z", "time-not-real"}},
	dateTime:     {{"2031-02-30T14:30:00Z", "time-not-real"}, {"2031-05-03T14:30:00", "time-not-real"}, {"soon", "time-not-real"}},
	id:           {{"a b", "schema-pattern"}, {strings.Repeat("a", 65), "schema-pattern"}, {"ä", "schema-pattern"}, {"a_b", "schema-pattern"}},
	instant:      {{"2031-05-03", "time-not-real"}, {"2031-05-03T14:30Z", "time-not-real"}},
	integer:      {{"1.0", "schema-type"}, {"1e2", "schema-type"}, {"2147483648", "schema-range"}, {"-2147483649", "schema-range"}},
	markdown:     {{"\f", "schema-control-character"}},
	oid:          {{"2.25.1", "schema-pattern"}, {"urn:oid:3.1", "schema-pattern"}, {"urn:oid:2.025", "schema-pattern"}, {"urn:oid:1.", "schema-pattern"}},
	positiveInt:  {{"0", "schema-range"}, {"-1", "schema-range"}, {"2147483648", "schema-range"}, {"0.5", "schema-type"}},
	aString:      {{"a\x01", "schema-control-character"}},
	timeOfDay:    {{"14:30", "time-not-real"}, {"24:00:00", "time-not-real"}, {"14:30:00+02:00", "time-not-real"}},
	unsignedInt:  {{"-1", "schema-range"}, {"2147483648", "schema-range"}, {"1.5", "schema-type"}},
	uri:          {{"urn: x", "schema-pattern"}},
	url:          {{"https://x.example/ y", "schema-pattern"}},
	uuid:         {{"c757873d-ec9a-4326-a141-556f43239520", "schema-pattern"}, {"urn:uuid:C757873D-EC9A-4326-A141-556F43239520", "schema-pattern"}, {"urn:uuid:c757873d-ec9a-4326-a141", "schema-pattern"}},
}

// wrongsOf makes every single mutation of an element that the table knows of.
func wrongsOf(t *table, d *definition, n *source.Node, e *element) []wrong {
	at := source.Pointer(e.name)
	right := with(d, n, e, value(e))
	item := at
	if e.list {
		item += "/0"
	}
	put := func(what, rule, pointer string, v *source.Node) wrong {
		return wrong{what, with(d, n, e, v), rule, pointer}
	}
	// one stands where a single right value would.
	one := func(what, rule, below string, v *source.Node) wrong {
		if e.list {
			v = listOf(v)
		}
		return put(what, rule, item+below, v)
	}
	all := []wrong{
		put("a truth where it does not belong", "schema-type", at, listOf(listOf(yes()))),
		one("a null", "schema-null", "", null()),
		{"a name with a letter more", &source.Node{Kind: source.Object, Members: append(slices.Clone(right.Members), member(e.name+"q", yes()))}, "schema-unknown-element", at + "q"},
	}
	if e.list {
		all[0] = put("no list", "schema-type", at, single(e))
		all = append(all, put("a list of nothing", "schema-empty", at, listOf()))
	} else {
		all = append(all, put("two in place of one", "schema-type", at, listOf(single(e), single(e))))
	}
	if d.required>>e.group&1 != 0 {
		all = append(all, put("nothing", "element-missing", "", nil))
		if len(with(d, n, e, nil).Members) == 0 {
			all[len(all)-1].rule = "schema-empty"
		}
	}
	switch e.form.kind() {
	case source.Object:
		all = append(all, one("a text", "schema-type", "", str("x")), one("an object of nothing", "schema-empty", "", objectOf()))
		if e.form == resource {
			all[len(all)-1].rule = "schema-resource-type"
		}
	case source.String:
		all = append(all, one("a number", "schema-type", "", num("1")), one("a text of nothing", "schema-empty", "", str("")))
	default:
		all = append(all, one("a text", "schema-type", "", str("1")))
	}
	all = append(all, wrongValues(t, e, one)...)
	all = append(all, wrongTwins(d, e, right)...)
	if e.stem != "" {
		for _, other := range d.elements {
			if other.group == e.group && other != e {
				n := &source.Node{Kind: source.Object, Members: append(slices.Clone(right.Members), member(other.name, value(other)))}
				all = append(all, wrong{"two of a choice", n, "choice-twice", source.Pointer(other.name)})
				break
			}
		}
	}
	return all
}

// wrongValues break what an element asks of its value.
func wrongValues(t *table, e *element, one func(what, rule, below string, v *source.Node) wrong) []wrong {
	var all []wrong
	for _, bad := range wrongForms[e.form] {
		v := str(bad[0])
		if e.form.kind() == source.Number {
			v = num(bad[0])
		}
		all = append(all, one("a wrong form", bad[1], "", v))
	}
	switch {
	case e.set != nil && !e.set.known():
	case e.set != nil && e.form == code:
		all = append(all, one("a code of no set", "binding-required", "", str("no-such-code")))
	case e.set != nil:
		coding := objectOf(member("system", str(e.set.systems[0].system)), member("code", str("no-such-code")))
		if e.of.name == "CodeableConcept" {
			coding = objectOf(member("coding", listOf(coding)))
		}
		all = append(all, one("a concept of no set", "binding-required", "", coding))
	case e.targets != nil:
		for _, kind := range t.names {
			if !slices.Contains(e.targets, kind) {
				all = append(all, one("a reference to another type", "reference-type", "", objectOf(member("reference", str(kind+"/1")))))
				break
			}
		}
	}
	return all
}

// wrongTwins put something wrong under the name with the underscore.
func wrongTwins(d *definition, e *element, right *source.Node) []wrong {
	name := "_" + e.name
	twinned := func(v *source.Node) *source.Node {
		return &source.Node{Kind: source.Object, Members: append(slices.Clone(right.Members), member(name, v))}
	}
	said := objectOf(member("id", str("a")))
	switch {
	case e.form <= resource || e.attribute:
		return []wrong{{"a twin that it has not", twinned(said), "schema-unknown-element", "/" + name}}
	case e.list:
		return []wrong{
			{"a twin that is no list", twinned(said), "schema-type", "/" + name},
			{"twins of another number", twinned(listOf(said, objectOf(member("id", str("b"))))), "field-list-length", "/" + name},
		}
	}
	return []wrong{
		{"a twin that is a list", twinned(listOf(said)), "schema-type", "/" + name},
		{"a twin of nothing", twinned(objectOf()), "schema-empty", "/" + name},
		{"a twin of another name", twinned(objectOf(member("ident", str("a")))), "schema-unknown-element", "/" + name + "/ident"},
	}
}

// check judges a tree that was never a text.
func check(root *source.Node) []string {
	number(root, new(int))
	var all []string
	for _, f := range Check(&source.Document{Name: "r", Root: root}, Options{}) {
		all = append(all, f.Rule+" "+f.Place.Pointer)
	}
	return all
}

// TestEveryElementOfEveryTypeIsJudged: whatever the table holds is right in its smallest
// instance, and each single mutation of it is found by the rule meant for it, at its
// place, and by no other.
func TestEveryElementOfEveryTypeIsJudged(t *testing.T) {
	tables, err := tables()
	if err != nil {
		t.Fatal(err)
	}
	all := routes(tables)
	rights, wrongs := 0, map[string]int{}
	for i, name := range slices.Sorted(maps.Keys(tables.all)) {
		d := tables.all[name]
		r, reached := all[d]
		if !reached || testing.Short() && i%10 > 0 {
			continue
		}
		n := smallest(d)
		for _, e := range d.elements {
			root, _ := r.around(with(d, n, e, value(e)))
			if got := check(root); len(got) > 0 {
				t.Errorf("%s with %s: %q", d.name, e.name, got)
			}
			rights++
			for _, w := range wrongsOf(tables, d, n, e) {
				root, at := r.around(w.n)
				if want := w.rule + " " + at + w.pointer; !slices.Equal(check(root), []string{want}) {
					t.Errorf("%s, %s, %s: %q, want %q", d.name, e.name, w.what, check(root), want)
				}
				wrongs[w.rule]++
			}
		}
	}
	t.Logf("%d of %d definitions, %d right instances, mutations by rule %v", len(all), len(tables.all), rights, wrongs)
	if len(all) < 650 || rights < 8000 && !testing.Short() || len(wrongs) < 13 {
		t.Errorf("%d definitions, %d instances, %d rules: fewer than there are", len(all), rights, len(wrongs))
	}
}

// TestTheDefinitionsAreWithinTheirBounds: what the reader of the table relies on.
func TestTheDefinitionsAreWithinTheirBounds(t *testing.T) {
	tables, err := tables()
	if err != nil {
		t.Fatal(err)
	}
	if len(tables.resources) != 146 || len(tables.sets) < 200 {
		t.Errorf("%d resource types, %d value sets", len(tables.resources), len(tables.sets))
	}
	for name, d := range tables.all {
		if d.groups > mostGroups || len(d.elements) == 0 {
			t.Errorf("%s: %d elements in %d groups", name, len(d.elements), d.groups)
		}
		for _, e := range d.elements {
			if d.find(e.name) != e {
				t.Errorf("%s: %s is not found", name, e.name)
			}
		}
	}
	for name, s := range tables.sets {
		if !s.known() && name != "LL379-9" {
			t.Errorf("%s: nothing is known of it", name)
		}
		for _, c := range s.systems {
			if c.system == "" || len(c.listed) == 0 && c.grammar == nil || slices.Contains(c.listed, "") {
				t.Errorf("%s: %q has %d codes", name, c.system, len(c.listed))
			}
		}
	}
}

func TestATableThatIsNotWholeIsRefused(t *testing.T) {
	many := &strings.Builder{}
	for i := range mostGroups + 1 {
		fmt.Fprintf(many, "\ta%d\t0..1\tcode\n", i)
	}
	for name, text := range map[string]string{
		"a line of nothing":         "\tstatus\t0..1\tcode\n",
		"a base that is not there":  "type\tX\tElement\n",
		"a type that is not there":  "type\tX\t\n\ta\t0..1\tY\n",
		"a set that is not there":   "type\tX\t\n\ta\t0..1\tcode\tsome\n",
		"a system without codes":    "set\tX\n\turn:x\n",
		"no cardinality":            "type\tX\t\n\ta\tone\tcode\n",
		"more elements than a word": "type\tX\t\n" + many.String(),
	} {
		if _, err := parse(text); err == nil {
			t.Errorf("%s is read", name)
		}
	}
}
