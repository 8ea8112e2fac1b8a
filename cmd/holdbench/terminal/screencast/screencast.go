// Package screencast records the screen of the bench: a run as it plays, with frames by the time of the simulation
// and not by a clock, so that the same run gives the same bytes.
package screencast

import (
	"context"
	"errors"
	"fmt"
	"math"
	"time"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/screens"
	"holdbench/plant/problem"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// Options are what is recorded of a run, and how.
type Options struct {
	Reference string // scenario
	Overrides scenarios.Overrides

	Width, Height int           // cells
	FPS           int           // frames a second of the recording
	Speed         float64       // simulated over real time
	From, To      time.Duration // of the run; To is 0 for its end
	HideTruth     bool
	ASCII         bool
	Large         bool   // one thing in block letters
	View          string // which, one of [Views]
	Dark          bool   // on black, else on white
}

// Views are what a large screen can show, one at a time.
func Views() []string { return screens.LargeViews() }

// limits bound a recording.
type limits struct{ frames, bytes int }

// bounds are the limits: a run that plays for half an hour at ten frames a second is within them.
func bounds() limits {
	const frames, megabytes = 20_000, 64
	return limits{frames, megabytes << 20}
}

// shorter says how a recording gets smaller.
const shorter = "fewer --fps, a higher --speed, or a part with --from and --to"

// within refuses a part of a run that has too many frames.
func (l limits) within(o *Options) error {
	const most = math.MaxInt32 // the largest number that a message gives
	if frames := (o.To - o.From).Seconds() / o.Speed * float64(o.FPS); o.To > 0 && frames >= float64(l.frames) {
		return fmt.Errorf("the recording has %.0f frames; must have %d at most: %s", min(math.Ceil(frames-1e-6), most)+1, l.frames, shorter)
	}
	return nil
}

// hold is how long the last frame is shown before a recording ends.
const hold = 2 * time.Second

// film takes the frames of a recording.
type film interface {
	// add takes what is shown from a time in s on.
	add(p *page.Page, fromS float64)
	// size is about how many bytes the recording has.
	size() int
	// end gives the whole recording, which ends at a time in s.
	end(atS float64) []byte
}

// Recording is the content of a file, and what it has.
type Recording struct {
	Text    []byte
	Frames  int
	LengthS float64
}

// record plays a run into a film.
func record(ctx context.Context, c *sim.Case, o *Options, to film, l limits) (*Recording, error) {
	if err := l.within(o); err != nil {
		return nil, err
	}
	replay := screens.NewReplay(screens.Chosen{Reference: o.Reference, Overrides: o.Overrides}, c, !o.HideTruth)
	replay.Speed = o.Speed
	if o.Large {
		replay.Enlarge(o.View)
	}
	run := history.New(c)
	for frame := range l.frames {
		atS := float64(frame) / float64(o.FPS)
		momentS := o.From.Seconds() + atS*o.Speed
		if o.To > 0 {
			momentS = min(momentS, o.To.Seconds())
		}
		if err := advance(ctx, run, momentS); err != nil {
			return nil, err
		}
		if end := lastedS(run); frame == 0 && run.Done() && momentS > end {
			return nil, problem.Errorf("--from is %s, and the run ends at %.3f s; must be before its end", o.From, end)
		}
		p := page.New(o.Width, o.Height, o.ASCII)
		replay.Draw(p.Area(), player.Observe(run, player.Newest))
		to.add(p, atS)
		switch {
		case to.size() > l.bytes:
			return nil, fmt.Errorf("the recording has more than %d bytes; must be less: %s", l.bytes, shorter)
		case run.Done(), o.To > 0 && momentS >= o.To.Seconds():
			endS := atS + hold.Seconds()
			return &Recording{Text: to.end(endS), Frames: frame + 1, LengthS: endS}, nil
		}
	}
	return nil, fmt.Errorf("the recording has more than %d frames; must have less: %s", l.frames, shorter)
}

func lastedS(run *history.Run) float64 {
	return (time.Duration(run.Ticks()) * run.Case().Rig.Clock.Tick).Seconds()
}

// advance goes on to a moment, or to the end of the run.
func advance(ctx context.Context, run *history.Run, momentS float64) error {
	ticks := int64(math.Round(momentS/run.Case().Rig.Clock.Tick.Seconds())) + 1
	n := 0
	const look = 1024 // ticks from one look at the context to the next
	run.Advance(ticks, func(*sim.Bench) bool { n++; return n%look == 0 && ctx.Err() != nil })
	if err := ctx.Err(); err != nil {
		return err
	}
	if run.Done() {
		if _, err := run.Result(); err != nil {
			return errors.Join(errors.New("the run cannot be recorded"), err)
		}
	}
	return nil
}

// title is what a recording is called; it does not give away what is hidden.
func title(c *sim.Case, o *Options) string {
	if o.HideTruth {
		return "holdbench, truth hidden"
	}
	return "holdbench: " + c.Scenario.Scenario
}

// SVG records a run as an animated picture, which plays again and again.
func SVG(ctx context.Context, c *sim.Case, o *Options) (*Recording, error) {
	return record(ctx, c, o, &animation{page.NewAnimation(title(c, o), o.Dark)}, bounds())
}

// animation is the film of a picture.
type animation struct{ *page.Animation }

func (a *animation) add(p *page.Page, fromS float64) { a.Add(p, fromS) }
func (a *animation) size() int                       { return a.Size() }
func (a *animation) end(atS float64) []byte          { return a.SVG(atS) }
