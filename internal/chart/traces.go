package chart

import (
	"math/big"
	"path/filepath"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/sheet"
	"saltmark/internal/trace"
	"saltmark/internal/ucum"
	"saltmark/mapping/record"
)

// LongestTrace is how many bytes of a trace file are read at the most.
const LongestTrace = trace.MaxBytes

// curveOf is the measure that carries the curve of each sensor.
var curveOf = map[string]string{trace.Arterial: "arterial-trace", trace.Venous: "venous-trace"}

// addTraces reads the recordings that the sheet names and adds their curves to the
// session. Time nought of a recording is the moment of the injection.
func addTraces(s *record.Session, files []sheet.TraceFile, o Options) finding.List {
	var found finding.List
	for _, file := range files {
		if o.Open == nil {
			found = append(found, finding.New("trace-not-read", file.Place, "a trace file is named", "", "a sheet from standard input cannot name files").Hide())
			continue
		}
		text, err := o.Open(file.File)
		if err != nil {
			found = append(found, finding.New("trace-not-read", file.Place, "the trace file {} cannot be read", file.File, "a file beside the sheet or below its folder is wanted").Hide())
			continue
		}
		recording, faults := trace.ReadCSV(beside(file), text, file.Units)
		found = append(found, faults...)
		if !faults.HasErrors() {
			found = append(found, addRecording(s, file, recording)...)
		}
	}
	return found
}

// beside gives the name of a trace file from where the sheet's own is given.
func beside(file sheet.TraceFile) string {
	if file.Place.File == "" {
		return file.File
	}
	return filepath.Join(filepath.Dir(file.Place.File), filepath.FromSlash(file.File))
}

func addRecording(s *record.Session, file sheet.TraceFile, recording trace.Recording) finding.List {
	group := s.Get(file.Injection, "injection")
	if group == nil {
		return nil
	}
	injected, err := group.At.Parse()
	if err != nil {
		return nil
	}
	for _, series := range recording.Series {
		start, length := span(series)
		text := series.SampledData()
		begin := injected.Add(start)
		s.Facts = append(s.Facts, record.Fact{
			Ref: record.Ref{About: file.Injection, Measure: curveOf[series.Name], Origin: record.Reported},
			At:  record.At(begin),
			Value: record.Value{Curve: &record.Curve{
				Origin: ucum.Quantity{Number: text.Origin, Unit: text.Unit}, Period: text.Period, Factor: text.Factor,
				LowerLimit: text.LowerLimit, UpperLimit: text.UpperLimit, Data: text.Data,
				Start: record.At(begin), End: record.At(begin.Add(length)),
				FileHash: recording.SHA256, ResampledFromUnequal: recording.Resampled,
			}},
		})
		s.Places.Facts[record.Ref{About: file.Injection, Measure: curveOf[series.Name], Origin: record.Reported}] = file.Place
	}
	return nil
}

// span gives where a series starts and how long it lasts, to the nanosecond.
func span(s trace.Series) (start, length time.Duration) {
	samples := new(big.Rat).SetInt64(int64(max(len(s.Samples)-1, 0)))
	return milliseconds(s.StartMs, big.NewRat(1, 1)), milliseconds(s.PeriodMs, samples)
}

func milliseconds(text string, times *big.Rat) time.Duration {
	ms, ok := new(big.Rat).SetString(text)
	if !ok {
		return 0
	}
	ns := ms.Mul(ms, times).Mul(ms, big.NewRat(int64(time.Millisecond), 1))
	whole := new(big.Int).Quo(ns.Num(), ns.Denom())
	return time.Duration(whole.Int64())
}
