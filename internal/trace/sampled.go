package trace

import (
	"strconv"
	"strings"

	"saltmark/internal/finding"
)

// Text holds the fields of a FHIR SampledData, numbers as decimal text and "" for
// what is absent.
type Text struct {
	Origin     string // value of origin, a SimpleQuantity
	Unit       string // code of origin
	Period     string // ms between two samples
	Factor     string
	LowerLimit string
	UpperLimit string
	Dimensions int
	Data       string
}

// SampledData gives the series as FHIR carries it. Name and start are not part of
// it: they belong to the resource around it.
func (s Series) SampledData() Text {
	data := make([]byte, 0, 6*len(s.Samples))
	for i, sample := range s.Samples {
		if i > 0 {
			data = append(data, ' ')
		}
		switch sample {
		case Missing:
			data = append(data, 'E')
		case Below:
			data = append(data, 'L')
		case Beyond:
			data = append(data, 'U')
		default:
			data = strconv.AppendInt(data, int64(sample), 10)
		}
	}
	return Text{
		Origin: s.Origin, Unit: s.Unit, Period: s.PeriodMs, Factor: s.Factor,
		LowerLimit: s.LowerLimit, UpperLimit: s.UpperLimit, Dimensions: 1, Data: string(data),
	}
}

// FromSampledData is the inverse of SampledData; name and start (ms) come from the
// resource around it, place is that of the SampledData. Samples of another hand
// may have decimals: they go into the factor.
func FromSampledData(name, startMs string, t Text, place finding.Place) (Series, finding.List) {
	c := conversion{place: place}
	if t.Factor == "" {
		t.Factor = "1"
	}
	if t.Dimensions != 1 {
		c.fault("trace-data-dimensions", "dimensions", finding.Say("{1} is {}", finding.Data("dimensions")), strconv.Itoa(t.Dimensions), "1 is wanted for a trace")
	}
	c.number("", "the start of the trace", startMs)
	c.number("origin", finding.Data("origin"), t.Origin)
	factor := c.number("factor", finding.Data("factor"), t.Factor)
	if period := c.number("period", finding.Data("period"), t.Period); len(c.findings) == 0 && period.digits <= 0 {
		c.fault("trace-data-number", "period", finding.Say("{1} is {}", finding.Data("period")), t.Period, "a number above 0 is wanted")
	}
	if t.LowerLimit != "" {
		c.number("lowerLimit", finding.Data("lowerLimit"), t.LowerLimit)
	}
	if t.UpperLimit != "" {
		c.number("upperLimit", finding.Data("upperLimit"), t.UpperLimit)
	}
	samples, places := c.samples(t)
	s := Series{
		Name: name, Unit: t.Unit, Origin: t.Origin, Factor: t.Factor,
		LowerLimit: t.LowerLimit, UpperLimit: t.UpperLimit,
		StartMs: startMs, PeriodMs: t.Period, Samples: samples,
	}
	if places > 0 {
		s.Factor = decimal{digits: factor.digits, places: factor.places + places}.text()
	}
	if len(c.findings) == 0 {
		if _, _, _, err := s.scale(); err != nil {
			c.fault("trace-data-number", "factor", finding.Of(err), "", "fewer digits are wanted")
		}
	}
	if len(c.findings) > 0 {
		c.findings.Sort()
		return Series{}, c.findings
	}
	return s, nil
}

// conversion is the state of reading one SampledData.
type conversion struct {
	place    finding.Place
	findings finding.List
}

// fault adds a finding at a member of the SampledData.
func (c *conversion) fault(rule, member string, found finding.Text, value string, allowed finding.Text) {
	at := c.place
	if member != "" {
		at.Pointer += "/" + member
	}
	c.findings = append(c.findings, finding.New(rule, at, found, value, allowed))
}

// number reads one field.
func (c *conversion) number(member string, called finding.Text, text string) decimal {
	d, err := parse(text)
	if err != nil {
		c.fault("trace-data-number", member, finding.Say("{1} is {}", called), text, finding.Say("a decimal of at most {1} digits is wanted", finding.Number(maxDigits)))
	}
	return d
}

// samples reads the data. Where samples have decimals, they are counted in units
// of 10^-places.
func (c *conversion) samples(t Text) (samples []int32, places int) {
	problems := CheckData(t.Data, 1, t.LowerLimit != "", t.UpperLimit != "")
	for _, p := range problems {
		found, allowed := p.Sentence()
		c.fault("trace-data-text", "data", found, p.Text, allowed)
	}
	if len(problems) > 0 {
		return nil, 0
	}
	count := 1 + strings.Count(t.Data, " ")
	if count > MaxSamples {
		c.fault("trace-data-size", "data", "the data hold {} samples", strconv.Itoa(count), finding.Say("at most {1} are read", finding.Number(MaxSamples)))
		return nil, 0
	}
	numbers := make([]decimal, 0, count)
	for word := range strings.SplitSeq(t.Data, " ") {
		d, ok := c.sample(word)
		if !ok {
			return nil, 0
		}
		numbers, places = append(numbers, d), max(places, d.places)
	}
	samples = make([]int32, count)
	for i, d := range numbers {
		if d.places < 0 {
			samples[i] = int32(d.digits)
			continue
		}
		whole, _, ok := d.scaled(places)
		if !ok || whole > largestSample || whole < -largestSample {
			c.fault("trace-data-size", "data", "sample {} is too large for its decimals", d.text(), finding.Say("at most {1} steps of the finest decimal are read", finding.Number(largestSample)))
			return nil, 0
		}
		samples[i] = int32(whole)
	}
	return samples, places
}

// sample reads one word of data that CheckData has passed. A mark comes back with
// places below zero.
func (c *conversion) sample(word string) (decimal, bool) {
	switch word {
	case "E":
		return decimal{int64(Missing), -1}, true
	case "L":
		return decimal{int64(Below), -1}, true
	case "U":
		return decimal{int64(Beyond), -1}, true
	}
	d, err := parse(word)
	if err != nil {
		c.fault("trace-data-size", "data", "sample {} is too long", word, finding.Say("at most {1} digits are read", finding.Number(maxDigits)))
		return decimal{}, false
	}
	return d, true
}
