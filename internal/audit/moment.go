package audit

import (
	"math"
	"strconv"
	"strings"
	"time"

	"saltmark/internal/finding"
	"saltmark/internal/r4"
	"saltmark/mapping/measure"
	"saltmark/mapping/record"
)

// momentDiffers: what was measured at one injection, or in one sample of blood, is
// of the time of that injection or sample. A curve has a time of its own.
func momentDiffers(c *check, s *record.Session) {
	if c.off["moment-differs"] {
		return
	}
	groups := map[record.Thing]record.Time{}
	for i := range s.Facts {
		f := &s.Facts[i]
		if m := measure.Get(f.Measure); m != nil && m.Kind == measure.Group {
			groups[f.About] = f.At
		}
	}
	for _, r := range c.resources {
		about := r.identity.ref.About
		if !r.ours || r.kind != "Observation" || about.Kind != measure.Injection && about.Kind != measure.Sample {
			continue
		}
		want, at := groups[about], r4.Text(r.node, "effectiveDateTime")
		if want != "" && at != "" && at != string(want) {
			allowed := finding.Say("that of the injection is wanted, {1}", finding.Data(string(want)))
			if about.Kind == measure.Sample {
				allowed = finding.Say("that of the sample is wanted, {1}", finding.Data(string(want)))
			}
			c.say("moment-differs", r.node.Get("effectiveDateTime"), r.at("/effectiveDateTime"), "the time is {}", at, allowed)
		}
	}
}

// recordingSpan: a recording lasts as long as its samples say. Start and end have
// whole seconds, so a second and a sample more or less are nothing.
func recordingSpan(c *check, r *resource) {
	s, period := r.node.Get("valueSampledData"), r.node.Get("effectivePeriod")
	if s == nil || period == nil || !r.ours {
		return
	}
	start, errStart := time.Parse(time.RFC3339, r4.Text(period, "start"))
	end, errEnd := time.Parse(time.RFC3339, r4.Text(period, "end"))
	step, ok := numberIn(s, "period")
	if errStart != nil || errEnd != nil || !ok {
		return
	}
	samples := strings.Count(r4.Text(s, "data"), " ")
	if d := s.Get("dimensions"); d != nil {
		if n, _ := strconv.Atoi(d.Text); n > 1 {
			samples /= n
		}
	}
	each, _ := step.Float64()
	said, lasts := end.Sub(start).Seconds(), float64(samples)*each/1000
	if math.Abs(said-lasts) > 1+each/1000 {
		c.say("recording-span", period, r.at("/effectivePeriod"), finding.Say("the recording is said to last {1} s", finding.Data(strconv.FormatFloat(said, 'f', -1, 64))), "", finding.Say("its samples last {1} s", finding.Data(strconv.FormatFloat(lasts, 'f', 1, 64))))
	}
}
