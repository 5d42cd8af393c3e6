package repeatability

import (
	"errors"
	"fmt"
	"io"

	"saltmark/internal/report"
)

// WriteSettings writes the part of a site's settings that the result fills. A variation
// of nought is no setting.
func (r *Result) WriteSettings(w io.Writer) error {
	v := r.Variation
	if percent(v.Percent) == percent(0) {
		return errors.New("the variation is 0 %, which no settings take: all injections of a session are alike")
	}
	whose := "own replicates"
	if r.Test {
		whose = "invented test data"
	}
	source := fmt.Sprintf("%s: %s, %s, 95 %% interval %s to %s %%", whose, report.Number(r.Sessions, "session"), r.period(), percent(v.Low), percent(v.High))
	_, err := fmt.Fprintf(w, "repeatability:\n  pooled-variation: {value: \"%s %%\", source: %q}\n  degrees-of-freedom: {value: %d 1, source: %q}\n", percent(v.Percent), source, v.Freedom, source)
	return err
}
