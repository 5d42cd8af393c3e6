package derive

import (
	"slices"

	"saltmark/internal/hemo"
	"saltmark/mapping/record"
)

// arterialSites are the sites of a sample from which arterial values are taken.
var arterialSites = []string{"arterial", "arterial-preductal", "arterial-postductal"}

// arterialContent is the oxygen content of arterial blood, at the time of the
// saturation. Saturation and oxygen pressure come from one arterial sample,
// haemoglobin from any: each time the newest within the age limit that states it.
// Without an oxygen pressure the dissolved part is left out. The row is left out
// where no haemoglobin or no arterial saturation is stated.
func arterialContent(w *work, c *call) made {
	haemoglobin, why := w.newest("haemoglobin", nil)
	saturation, whyNot := w.newest("arterial-saturation", arterialSites)
	if why == "" {
		why = whyNot
	}
	switch {
	case haemoglobin == nil || saturation == nil:
		return made{}
	case why != "":
		return absent(why)
	}
	c.in = []*record.Fact{haemoglobin, saturation}
	pressure := w.dissolved(saturation)
	if pressure != nil {
		c.in = append(c.in, pressure)
	}
	content, err := hemo.OxygenContent(
		number(haemoglobin, "g/dL"), number(saturation, "1"), number(pressure, "mm[Hg]"),
		hemo.OxygenConstants{Huefner: w.number(record.TheSession, "oxygen-capacity"), Solubility: w.number(record.TheSession, "oxygen-solubility")})
	if err != nil {
		return w.refused(c, err)
	}
	v := quantity(c.m.Chart(content, false))
	v.at = saturation.At
	return v
}

// dissolved gives the oxygen pressure of the sample that a saturation is from, nil
// where it has none.
func (w *work) dissolved(saturation *record.Fact) *record.Fact {
	f := w.get(saturation.About, "arterial-oxygen-pressure")
	if f == nil || number(f, "mm[Hg]") == nil {
		return nil
	}
	return f
}

// dissolvedCounted says whether the content holds dissolved oxygen.
func dissolvedCounted(w *work, c *call) made {
	for _, from := range c.in[0].From {
		if from.Measure == "arterial-oxygen-pressure" {
			return coded("yes")
		}
	}
	return coded("no")
}

// newest gives the newest value of samples from the given sites (nil: any) that is
// within its age limit. Where all are too old it gives one of them and that reason;
// nil where there is none.
func (w *work) newest(key string, sites []string) (f *record.Fact, reason string) {
	return w.newestAt(key, sites, w.agreed.at)
}

// newestAt is newest at another time than that of the session's values.
func (w *work) newestAt(key string, sites []string, at record.Time) (f *record.Fact, reason string) {
	var fresh, stale *record.Fact
	for _, sample := range w.samples {
		f := w.get(sample, key)
		if f == nil || f.Value.IsAbsent() || sites != nil && !slices.Contains(sites, w.code(sample, "sample-site")) {
			continue
		}
		switch {
		case fresh != nil && !fresh.At.Before(f.At): // an older one
		case w.within(f, at):
			fresh = f
		case stale == nil || stale.At.Before(f.At):
			stale = f
		}
	}
	switch {
	case fresh != nil:
		return fresh, ""
	case stale != nil:
		w.stale(stale, at)
		return stale, "stale-input"
	}
	return nil, ""
}
