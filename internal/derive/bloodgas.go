package derive

import (
	"math/big"

	"saltmark/internal/hemo"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// gas is one whose content in blood a flow is computed from.
type gas struct {
	// content gives the content of one blood, mL/dL, from its gases; nil where one of
	// them is missing.
	content func(w *work, b blood) (*big.Rat, error)
}

var (
	oxygen        = gas{oxygenOfBlood}
	carbonDioxide = gas{carbonDioxideOfBlood}
)

// blood is the blood of one side of a reading.
type blood struct {
	reading record.Thing
	side    string // "arterial" or "venous"
	// haemoglobin in g/dL; nil where it is not known.
	haemoglobin *big.Rat
}

// sides of a reading.
const (
	arterialSide = "arterial"
	venousSide   = "venous"
)

// gasOf gives a value of the blood in the unit that the formula takes, nil where there
// is none.
func (w *work) gasOf(b blood, what, unit string) *big.Rat {
	return number(w.get(b.reading, "comparator-"+b.side+"-"+what), unit)
}

// contents are those of both sides.
type contents struct {
	arterial, venous *big.Rat
	computed         bool
	samples          []*record.Fact // of blood samples
	refused          error          // why the formula would not take the gases
}

// contents gives both contents of a gas: as stated, where both are, else both as they
// follow from the blood gases, rounded as they are charted. One that is stated is never
// held against one that is computed.
func (w *work) contents(reading record.Thing, g *gas) (contents, string) {
	stated := contents{arterial: w.statedContent(reading, arterialSide), venous: w.statedContent(reading, venousSide)}
	if stated.arterial != nil && stated.venous != nil {
		return stated, ""
	}
	haemoglobin, sample, why := w.haemoglobinOf(reading)
	if why != "" {
		return contents{}, why
	}
	c := contents{computed: true}
	if sample != nil {
		c.samples = append(c.samples, sample)
	}
	for _, side := range []string{arterialSide, venousSide} {
		x, err := g.content(w, blood{reading, side, haemoglobin})
		switch {
		case err != nil:
			c.refused = err
			return c, ""
		case x == nil:
			return contents{}, "input-missing"
		}
		*c.of(side) = contentRow(side).Chart(x, false).Rat()
	}
	return c, ""
}

// of gives the place of the content of a side.
func (c *contents) of(side string) **big.Rat {
	if side == arterialSide {
		return &c.arterial
	}
	return &c.venous
}

func contentRow(side string) *measure.Measure { return measure.Get("comparator-" + side + "-content") }

// statedContent is one that the sheet gives.
func (w *work) statedContent(reading record.Thing, side string) *big.Rat {
	f := w.get(reading, contentRow(side).Key)
	if f == nil || f.Origin == record.Derived {
		return nil
	}
	return number(f, contentRow(side).Unit)
}

// haemoglobinOf gives that of the reading, else the newest of the blood samples that is
// fresh at the reading.
func (w *work) haemoglobinOf(reading record.Thing) (x *big.Rat, sample *record.Fact, why string) {
	if x := w.number(reading, "comparator-haemoglobin"); x != nil {
		return x, nil, ""
	}
	sample, why = w.newestAt("haemoglobin", nil, w.timeOfReading(reading))
	switch {
	case sample == nil:
		return nil, nil, "input-missing"
	case why != "":
		return nil, nil, why
	}
	return number(sample, "g/dL"), sample, ""
}

func (w *work) timeOfReading(reading record.Thing) record.Time {
	if f := w.get(reading, "comparator-flow"); f != nil {
		return f.At
	}
	return ""
}

// oxygenOfBlood takes dissolved oxygen into account where both bloods have their oxygen
// pressure: on one side alone it would make a difference that is none.
func oxygenOfBlood(w *work, b blood) (*big.Rat, error) {
	saturation := w.gasOf(b, "saturation", "1")
	if saturation == nil || b.haemoglobin == nil {
		return nil, nil
	}
	pressure := w.gasOf(b, "oxygen-pressure", "mm[Hg]")
	for _, side := range []string{arterialSide, venousSide} {
		if w.gasOf(blood{reading: b.reading, side: side}, "oxygen-pressure", "mm[Hg]") == nil {
			pressure = nil
		}
	}
	return hemo.OxygenContent(b.haemoglobin, saturation, pressure,
		hemo.OxygenConstants{Huefner: w.number(record.TheSession, "oxygen-capacity"), Solubility: w.number(record.TheSession, "oxygen-solubility")})
}

// carbonDioxideOfBlood wants the temperature that the gases are given for: none is
// assumed.
func carbonDioxideOfBlood(w *work, b blood) (*big.Rat, error) {
	pressure, acidity := w.gasOf(b, "carbon-dioxide-pressure", "mm[Hg]"), w.gasOf(b, "ph", "[pH]")
	saturation, temperature := w.gasOf(b, "saturation", "1"), w.number(b.reading, "comparator-gas-temperature")
	for _, x := range []*big.Rat{pressure, acidity, saturation, temperature, b.haemoglobin} {
		if x == nil {
			return nil, nil
		}
	}
	content, err := hemo.BloodCarbonDioxide(float(pressure), float(acidity), float(temperature), float(b.haemoglobin), float(saturation))
	if err != nil {
		return nil, err
	}
	return new(big.Rat).SetFloat64(content), nil
}

func float(x *big.Rat) float64 {
	f, _ := x.Float64()
	return f
}

// contentOfReading charts a content that a flow is computed from, where it was computed.
func contentOfReading(side string) by {
	return func(w *work, c *call) made {
		f := w.formula(c.about)
		if f == nil || f.gas == nil || !w.computes(w.get(c.about, "comparator-flow")) {
			return made{}
		}
		in, why := w.contents(c.about, f.gas)
		if why != "" || !in.computed || in.refused != nil {
			return made{}
		}
		return quantity(c.m.Chart(*in.of(side), false))
	}
}
