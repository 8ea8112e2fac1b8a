package main

import (
	"fmt"
	"time"

	"github.com/schollz/progressbar/v3"
)

// probeProgress shows on a terminal how far a probe has come and how long what is known
// will take; otherwise it is nil and shows nothing.
type probeProgress struct {
	bar     *progressbar.ProgressBar
	doing   string
	earlier int // cells from before, which took no time
}

func (a *app) probeProgress(doing string, earlier int) *probeProgress {
	if _, ok := terminalOf(a.stderr); !ok || a.dumb() {
		return nil
	}
	return &probeProgress{doing: doing, earlier: earlier, bar: progressbar.NewOptions(1,
		progressbar.OptionSetWriter(a.stderr), progressbar.OptionSetDescription(doing),
		progressbar.OptionSetWidth(30), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetPredictTime(true), progressbar.OptionSetElapsedTime(false),
		progressbar.OptionThrottle(100*time.Millisecond))}
}

// at takes how far it is. The last known cell does not fill the bar, which would end it:
// there may be more to come.
func (p *probeProgress) at(done, known int) {
	if p == nil || p.bar == nil || done <= p.earlier {
		return
	}
	p.bar.Describe(fmt.Sprintf("%s %d of %d", p.doing, done, known))
	p.bar.ChangeMax(known - p.earlier + 1)
	_ = p.bar.Set(done - p.earlier) // nothing that matters to a probe
}

func (p *probeProgress) done() {
	if p != nil && p.bar != nil {
		_ = p.bar.Clear()
		p.bar = nil
	}
}
