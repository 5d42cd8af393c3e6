package trace

import (
	"errors"
	"fmt"
	"slices"
)

// WriteCSV gives the text from which ReadCSV reads the same series again, for
// series that ReadCSV made. All series share their times, and a name stands once.
// Below and Beyond have no form in CSV and are refused.
func WriteCSV(series []Series) ([]byte, error) {
	if len(series) == 0 {
		return nil, errors.New("no series to write")
	}
	first := series[0]
	start, step, timePlaces, err := timeScale(first)
	if err != nil {
		return nil, err
	}
	out := []byte("time_ms")
	var columns []writer
	for _, s := range series {
		w, err := newWriter(s, first)
		if err != nil {
			return nil, fmt.Errorf("series %q: %w", s.Name, err)
		}
		if slices.ContainsFunc(columns, func(c writer) bool { return c.name == s.Name }) {
			return nil, fmt.Errorf("series %q stands twice", s.Name)
		}
		columns = append(columns, w)
		out = append(out, ","+s.Name+" ["+s.Unit+"]"...)
	}
	out = append(out, '\n')
	for i := range first.Samples {
		out = append(out, decimal{digits: start + int64(i)*step, places: timePlaces}.text()...)
		for _, w := range columns {
			out = append(out, ',')
			if sample := w.samples[i]; sample != Missing {
				out = decimal{digits: w.origin + w.factor*int64(sample), places: w.places}.append(out)
			}
		}
		out = append(out, '\n')
	}
	return out, nil
}

// writer is one column with the scale of its values.
type writer struct {
	name           string
	samples        []int32
	origin, factor int64
	places         int
}

// newWriter checks that a series can be written beside the first.
func newWriter(s, first Series) (writer, error) {
	w := writer{name: s.Name, samples: s.Samples}
	switch {
	case s.Name != Arterial && s.Name != Venous:
		return w, fmt.Errorf("the name must be %s or %s", Arterial, Venous)
	case !knownUnit(s.Unit):
		return w, fmt.Errorf("unit %q; 1, %% or m/s is wanted", s.Unit)
	case s.StartMs != first.StartMs || s.PeriodMs != first.PeriodMs || len(s.Samples) != len(first.Samples):
		return w, errors.New("start, period and number of samples must be those of the first series")
	case s.Count(Below)+s.Count(Beyond) > 0:
		return w, errors.New("samples beyond a limit of detection have no form in CSV")
	}
	var err error
	w.origin, w.factor, w.places, err = s.scale()
	return w, err
}

// timeScale gives start and period as whole numbers of 10^-places ms.
func timeScale(s Series) (start, step int64, places int, err error) {
	first, err := parseText("start", s.StartMs)
	if err != nil {
		return 0, 0, 0, err
	}
	period, err := parseText("period", s.PeriodMs)
	if err != nil {
		return 0, 0, 0, err
	}
	places = max(first.places, period.places)
	start, _, startFits := first.scaled(places)
	step, _, stepFits := period.scaled(places)
	room := int64(1<<61) / int64(max(len(s.Samples), 1))
	if !startFits || !stepFits || places > maxDigits || start > 1<<61 || start < -1<<61 || step <= 0 || step > room {
		return 0, 0, 0, fmt.Errorf("start %s ms and period %s ms cannot be written: a period above 0 and fewer digits are wanted", s.StartMs, s.PeriodMs)
	}
	return start, step, places, nil
}
