package trace_test

import (
	"testing"

	"saltmark/internal/trace"

	"github.com/google/go-cmp/cmp"
)

func TestWhatIsWrittenAsCSVReadsBackTheSame(t *testing.T) {
	for name, data := range map[string]string{
		"even":    rows("time_ms,arterial [1],venous [%]", "%d0,0.0%d0,-%d.5"),
		"missing": rows("time_s,venous [m/s]", "%d,1570.%d") + "10,\n11,1571\n",
		"uneven":  curve(-20, -10, 0, 13, 20, 30, 40, 50, 64, 70, 80, 200),
	} {
		t.Run(name, func(t *testing.T) {
			first, _ := good(t, data, nil)
			written, err := trace.WriteCSV(first.Series)
			if err != nil {
				t.Fatal(err)
			}
			second, findings := good(t, string(written), nil)
			if diff := cmp.Diff(first.Series, second.Series); diff != "" || second.Resampled {
				t.Errorf("first -, second +:\n%s%q", diff, texts(findings))
			}
		})
	}
}

func TestWhatHasNoFormInCSVIsRefused(t *testing.T) {
	plain := func() trace.Series {
		return trace.Series{Name: trace.Arterial, Unit: "1", Origin: "0", Factor: "0.1", StartMs: "0", PeriodMs: "10", Samples: []int32{1, 2}}
	}
	change := func(by func(*trace.Series)) []trace.Series {
		s := plain()
		by(&s)
		return []trace.Series{s}
	}
	for name, series := range map[string][]trace.Series{
		"nothing":         nil,
		"a name":          change(func(s *trace.Series) { s.Name = "pressure" }),
		"a unit":          change(func(s *trace.Series) { s.Unit = "mV" }),
		"a mark":          change(func(s *trace.Series) { s.Samples[0] = trace.Below }),
		"no factor":       change(func(s *trace.Series) { s.Factor = "" }),
		"no period":       change(func(s *trace.Series) { s.PeriodMs = "0" }),
		"too long a step": change(func(s *trace.Series) { s.PeriodMs, s.StartMs = "123456789012345678", "0.123" }),
		"no start":        change(func(s *trace.Series) { s.StartMs = "" }),
		"twice":           {plain(), plain()},
		"another grid":    append(change(func(s *trace.Series) { s.PeriodMs = "20"; s.Name = trace.Venous }), plain()),
	} {
		if out, err := trace.WriteCSV(series); err == nil {
			t.Errorf("%s: written as %q", name, out)
		}
	}
}
