package main

import (
	"fmt"
	"io"
	"sync/atomic"

	"github.com/vbauerster/mpb/v8"
	"github.com/vbauerster/mpb/v8/decor"

	"saltmark/internal/report"
)

// progress shows on a terminal how far a run has come. The zero value shows nothing.
type progress struct {
	container *mpb.Progress
	bar       *mpb.Bar
	against   atomic.Int64 // documents that an error stands against, or that failed
}

// fewest is how many documents a run must have to be worth a bar.
const fewest = 10

// start shows the bar on standard error, where that is a terminal and the run is worth
// it. The number of documents is 0 where it is not known before. things names them.
func (p *progress) start(e *env, total int, things string) {
	if !isTerminal(e.Stderr) || total > 0 && total < fewest {
		return
	}
	p.container = mpb.New(mpb.WithOutput(e.Stderr))
	counter, style := decor.CountersNoUnit("%d of %d "+things), mpb.BarFillerBuilder(mpb.BarStyle().Filler("=").Tip(">").Padding(" "))
	left := []decor.Decorator{p.refused(), decor.AverageSpeed(0, ", %.0f/s"), decor.Name(", "), decor.AverageETA(decor.ET_STYLE_GO), decor.Name(" left")}
	if total == 0 {
		counter, style, left = decor.CurrentNoUnit("%d "+things+", "), mpb.NopStyle(), left[:2]
	}
	p.bar = p.container.New(int64(total), style, mpb.BarRemoveOnComplete(), mpb.PrependDecorators(counter), mpb.AppendDecorators(left...))
}

// refused tells how many documents something stands against.
func (p *progress) refused() decor.Decorator {
	return decor.Any(func(decor.Statistics) string { return fmt.Sprintf("%d with errors", p.against.Load()) })
}

// above gives the writer for lines that belong on the terminal: above the bar, so that
// neither tears the other.
func (p *progress) above(w io.Writer) io.Writer {
	if p.container == nil || !isTerminal(w) {
		return w
	}
	return p.container
}

// step counts a document.
func (p *progress) step(outcome report.Outcome) {
	if p.bar == nil {
		return
	}
	switch outcome {
	case report.Refused, report.Faulty, report.Failed:
		p.against.Add(1)
	}
	p.bar.Increment()
}

// stop takes the bar away; what was written above it stays. After it nothing may be
// written above.
func (p *progress) stop() {
	if p.container == nil {
		return
	}
	p.bar.Abort(true)
	p.container.Wait()
	p.container, p.bar = nil, nil
}
