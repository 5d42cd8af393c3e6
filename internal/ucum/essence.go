package ucum

import (
	_ "embed"
	"encoding/xml"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strings"
	"sync"
)

//go:embed ucum-essence.xml
var essenceText string

// essence gives the table of units, read from the embedded file at first use.
var essence = sync.OnceValues(func() (*table, error) {
	t, err := readEssence(strings.NewReader(essenceText))
	if err != nil {
		return nil, fmt.Errorf("read the table of units: %w", err)
	}
	return t, nil
})

// table is what the essence defines, and the codes parsed by it so far.
type table struct {
	prefixes []prefix // longest first
	atoms    map[string]*atom
	parsed   cache
}

type prefix struct {
	code   string
	factor *big.Rat
}

// atom is one unit as the essence defines it: number times unit, or the function
// of that on the scale of a special unit. It is worked out at first use, since few
// of the three hundred are ever asked for.
type atom struct {
	code, number, unit, function string
	metric, special, arbitrary   bool
	dimension                    string // letter of a base unit, else empty

	once      sync.Once
	magnitude magnitude
	err       error
}

// essenceXML is what of the file is read.
type essenceXML struct {
	Prefixes []struct {
		Code  string   `xml:"Code,attr"`
		Value valueXML `xml:"value"`
	} `xml:"prefix"`
	Bases []struct {
		Code      string `xml:"Code,attr"`
		Dimension string `xml:"dim,attr"`
	} `xml:"base-unit"`
	Units []struct {
		Code      string   `xml:"Code,attr"`
		Metric    string   `xml:"isMetric,attr"` // yes or no
		Special   string   `xml:"isSpecial,attr"`
		Arbitrary string   `xml:"isArbitrary,attr"`
		Value     valueXML `xml:"value"`
	} `xml:"unit"`
}

type valueXML struct {
	Number   string `xml:"value,attr"`
	Unit     string `xml:"Unit,attr"`
	Function *struct {
		Name   string `xml:"name,attr"`
		Number string `xml:"value,attr"`
		Unit   string `xml:"Unit,attr"`
	} `xml:"function"`
}

func readEssence(r io.Reader) (*table, error) {
	var e essenceXML
	d := xml.NewDecoder(r)
	d.CharsetReader = asASCII
	if err := d.Decode(&e); err != nil {
		return nil, err
	}
	t := &table{atoms: make(map[string]*atom, len(e.Bases)+len(e.Units))}
	for _, p := range e.Prefixes {
		factor, ok := new(big.Rat).SetString(p.Value.Number)
		if !ok {
			return nil, fmt.Errorf("prefix %s has the value %q", p.Code, p.Value.Number)
		}
		t.prefixes = append(t.prefixes, prefix{p.Code, factor})
	}
	slices.SortStableFunc(t.prefixes, func(a, b prefix) int { return len(b.code) - len(a.code) })
	for _, u := range e.Bases {
		t.atoms[u.Code] = &atom{code: u.Code, dimension: u.Dimension, metric: true}
	}
	for _, u := range e.Units {
		a := &atom{
			code: u.Code, number: u.Value.Number, unit: u.Value.Unit,
			metric: u.Metric == "yes", special: u.Special == "yes", arbitrary: u.Arbitrary == "yes",
		}
		if f := u.Value.Function; f != nil {
			a.function, a.number, a.unit = f.Name, f.Number, f.Unit
		}
		t.atoms[u.Code] = a
	}
	return t, nil
}

// asASCII serves the encoding that the file declares: ASCII is UTF-8.
func asASCII(_ string, r io.Reader) (io.Reader, error) { return r, nil }

// lookup finds a symbol of a code: a unit, or a prefix with a metric unit. The
// prefix is nil where there is none. No symbol can be read both ways (a test holds
// the table to that), so the order does not matter. With ok false and an atom, the
// symbol is a prefix with a unit that takes none.
func (t *table) lookup(symbol string) (p *prefix, a *atom, ok bool) {
	if a, ok := t.atoms[symbol]; ok {
		return nil, a, true
	}
	for i := range t.prefixes {
		rest, found := strings.CutPrefix(symbol, t.prefixes[i].code)
		if !found {
			continue
		}
		if found := t.atoms[rest]; found != nil {
			p, a = &t.prefixes[i], found
			if a.metric {
				return p, a, true
			}
		}
	}
	return p, a, false
}

// zeros gives, for the functions of special units that are straight lines, what is
// added to a reading before it is scaled to kelvin. Source: the definitions of these
// units, the zero of the Celsius scale being 273.15 K exactly (SI Brochure, 9th
// edition, 2.3.1); 459.67 = 273.15*9/5 - 32 and 218.52 = 273.15*4/5.
var zeros = map[string]*big.Rat{
	"Cel":   big.NewRat(27315, 100),
	"degF":  big.NewRat(45967, 100),
	"degRe": big.NewRat(21852, 100),
}

// resolve works out what an atom stands for.
func (t *table) resolve(a *atom) (magnitude, error) {
	a.once.Do(func() { a.magnitude, a.err = t.define(a) })
	return a.magnitude, a.err
}

func (t *table) define(a *atom) (magnitude, error) {
	if a.dimension != "" {
		d, ok := baseDimension(a.dimension)
		if !ok {
			return magnitude{}, fmt.Errorf("base unit %s has the dimension %q", a.code, a.dimension)
		}
		return magnitude{factor: one, dimension: d}, nil
	}
	if a.arbitrary {
		return magnitude{factor: one, dimension: Dimension{arbitrary: true}, kind: Arbitrary}, nil
	}
	number, ok := new(big.Rat).SetString(a.number)
	if !ok {
		return magnitude{}, fmt.Errorf("unit %s has the value %q", a.code, a.number)
	}
	m, fault := t.evaluate(a.unit)
	if fault != nil {
		return magnitude{}, fmt.Errorf("unit %s: %w", a.code, fault)
	}
	m.factor = new(big.Rat).Mul(m.factor, number)
	if a.special {
		m.kind = Special
		if offset := zeros[a.function]; offset != nil {
			m.zero = new(big.Rat).Mul(offset, m.factor)
		} else {
			m.curved = true
		}
	}
	return m, nil
}
