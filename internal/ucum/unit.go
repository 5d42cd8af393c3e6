package ucum

import (
	"maps"
	"math/big"
	"strings"
	"sync"
	"sync/atomic"
)

// Kind tells how far a unit can be converted.
type Kind uint8

// The kinds of units. A product has the last kind that is in it.
const (
	// Ordinary units convert to every unit of their dimension.
	Ordinary Kind = iota
	// Special units have a scale of another shape or with another zero. Cel, [degF]
	// and [degRe] convert; the others are valid codes only.
	Special
	// Arbitrary units are defined by an assay ([iU]) and convert to nothing but the
	// same code.
	Arbitrary
)

// String gives the word for the kind.
func (k Kind) String() string {
	switch k {
	case Special:
		return "special"
	case Arbitrary:
		return "arbitrary"
	}
	return "ordinary"
}

// Unit is a parsed unit. It does not change and may be shared between goroutines.
type Unit struct {
	code string
	magnitude
	tens tens
}

// String gives the code as it was written.
func (u *Unit) String() string { return u.code }

// Dimension tells what the unit measures.
func (u *Unit) Dimension() Dimension { return u.dimension }

// Factor gives the size of the unit in base units (m, s, g, rad, K, C, cd); of a
// special unit, the size of the unit that it is a scale of. The result is the
// caller's own.
func (u *Unit) Factor() *big.Rat { return new(big.Rat).Set(u.factor) }

// Kind tells how far the unit can be converted.
func (u *Unit) Kind() Kind { return u.kind }

// Parse reads a case-sensitive UCUM code. The error is a *UnitError, unless the
// embedded table of units itself cannot be read. Codes parsed before are kept, up to
// a bound, and the same Unit is given for the same code.
func Parse(code string) (*Unit, error) {
	t, err := essence()
	if err != nil {
		return nil, err
	}
	return t.parse(code)
}

func (t *table) parse(code string) (*Unit, error) {
	if u := t.parsed.get(code); u != nil {
		return u, nil
	}
	m, fault := t.evaluate(code)
	if fault != nil {
		fault.Suggestion = t.suggest(code)
		return nil, fault
	}
	u := &Unit{code: strings.Clone(code), magnitude: m, tens: takeApart(m.factor)}
	t.parsed.put(u)
	return u, nil
}

// cache keeps parsed units by code. The units of a site are read by the hundred for each
// session, on every core: those that were asked for before stand in a map that does not
// change, so that no core waits for another.
type cache struct {
	settled atomic.Pointer[map[string]*Unit]

	mu    sync.Mutex
	units map[string]*Unit
	late  int // how often one was read that is not settled
}

// kept is how many units a cache holds before it starts anew: far more than a site
// uses, and a bound on what hostile input can make it hold.
const kept = 1024

func (c *cache) get(code string) *Unit {
	if settled := c.settled.Load(); settled != nil {
		if u := (*settled)[code]; u != nil {
			return u
		}
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	u := c.units[code]
	if u == nil {
		return nil
	}
	if c.late++; c.late >= len(c.units) { // so that copying costs no more than reading did
		all := maps.Clone(c.units)
		c.settled.Store(&all)
		c.late = 0
	}
	return u
}

func (c *cache) put(u *Unit) {
	c.mu.Lock()
	defer c.mu.Unlock()
	if c.units == nil || len(c.units) >= kept {
		c.units, c.late = make(map[string]*Unit, 64), 0
		c.settled.Store(nil)
	}
	c.units[u.code] = u
}
