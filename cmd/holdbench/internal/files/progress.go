package files

import (
	"fmt"
	"io"
	"time"

	"github.com/schollz/progressbar/v3"
)

// Progress shows on a terminal how far something has come and how long what is known
// will take. A nil one shows nothing.
type Progress struct {
	bar     *progressbar.ProgressBar
	doing   string
	earlier int // done before, which took no time
}

// NewProgress shows progress on a terminal.
func NewProgress(w io.Writer, doing string, earlier int) *Progress {
	return &Progress{doing: doing, earlier: earlier, bar: progressbar.NewOptions(1,
		progressbar.OptionSetWriter(w), progressbar.OptionSetDescription(doing),
		progressbar.OptionSetWidth(30), progressbar.OptionClearOnFinish(),
		progressbar.OptionSetPredictTime(true), progressbar.OptionSetElapsedTime(false),
		progressbar.OptionThrottle(100*time.Millisecond))}
}

// At takes how far it is. The last known cell does not fill the bar, which would end it:
// there may be more to come.
func (p *Progress) At(done, known int) {
	if p == nil || p.bar == nil || done <= p.earlier {
		return
	}
	p.bar.Describe(fmt.Sprintf("%s %d of %d", p.doing, done, known))
	p.bar.ChangeMax(known - p.earlier + 1)
	_ = p.bar.Set(done - p.earlier) // nothing that matters to a probe
}

// Done takes the bar away.
func (p *Progress) Done() {
	if p != nil && p.bar != nil {
		_ = p.bar.Clear()
		p.bar = nil
	}
}
