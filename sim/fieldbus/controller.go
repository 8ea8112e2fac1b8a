package fieldbus

import (
	"context"
	"errors"
	"sync/atomic"
	"time"

	"holdbench/sequence"
)

// Link is the bus and the clock of a run. Its errors wrap [context.Canceled] where the run is to end.
type Link interface {
	// Begin waits until the controller has commanded an output ([Image.Commanded]), and lets the time of the
	// run begin; scan is the time between two scans.
	Begin(scan time.Duration) error
	// Wait waits for the real time of a moment of the run.
	Wait(at time.Duration) error
	// Silent says for how long nothing has been heard of the controller if that is too long; empty
	// otherwise.
	Silent() string
}

// Station is the one controller on the bus. A run that begins has it, and ends for the one before.
type Station struct {
	newest atomic.Pointer[controller]
	image  atomic.Pointer[Image]
}

// Image has the values of the newest run; nil before the first one.
func (s *Station) Image() *Image { return s.image.Load() }

// Logic is the controller of a station, in the place of a sequence whose states it has.
type Logic struct {
	base    sequence.Logic
	station *Station
	image   *Image
	link    Link
	about   *sequence.Description
}

// New puts the controller of a station in the place of a sequence; source identifies it.
func New(base sequence.Logic, station *Station, link Link, source string) *Logic {
	d := base.About().InPlace("")
	d.Kept = nil
	for i := range d.States {
		d.States[i].Kept = nil // they do not come over the bus
	}
	d.Source = struct {
		Controller string
		Sequence   any
	}{source, base.About().Source}
	return &Logic{base: base, station: station, image: NewImage(d), link: link, about: d}
}

// About is what is known of the controller.
func (l *Logic) About() *sequence.Description { return l.about }

// With is the controller with other values of the parameters, of which it learns nothing.
func (l *Logic) With(values sequence.Values) (sequence.Logic, error) {
	base, err := l.base.With(values)
	if err != nil {
		return nil, err
	}
	made := *l
	d := *l.about
	d.Params = base.About().Params
	made.base, made.about = base, &d
	return &made, nil
}

// Live is so: a run takes real time, cannot be copied, and there is one at a time.
func (l *Logic) Live() bool { return true }

// New makes a run. It begins with its first scan, and ends the one before.
func (l *Logic) New(scan time.Duration) sequence.Controller {
	return &controller{logic: l, scan: scan, state: l.about.Start}
}

// controller is one run.
type controller struct {
	logic   *Logic
	scan    time.Duration
	begun   bool
	state   int
	clock   time.Duration // of the last scan
	entered time.Duration // when the state was
	failure error
}

// Scan waits for the time of the scan, writes the inputs and takes what the controller has written.
func (c *controller) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	if err := c.ready(in); err != nil {
		return sequence.Fired{}, err
	}
	c.clock = in.Clock
	in.InStateS, in.ScanS = c.InState().Seconds(), c.scan.Seconds()
	image := c.logic.image
	image.publish(in)
	state, end := image.told(out)
	return c.enter(c.meant(state, end)), nil
}

// ready lets the time of the scan come, and ends a controller that has fallen silent.
func (c *controller) ready(in *sequence.Inputs) error {
	if c.failure != nil {
		return c.failure
	}
	err := c.comes(in)
	if err == nil {
		return nil
	}
	if c.failure = err; !errors.Is(err, context.Canceled) {
		c.failure = &sequence.Halt{Because: err.Error()}
	}
	if c.logic.station.newest.Load() == c {
		c.logic.image.end()
	}
	return c.failure
}

func (c *controller) comes(in *sequence.Inputs) error {
	if !c.begun {
		c.begun = true
		c.logic.station.newest.Store(c)
		c.logic.image.begin(in)
		c.logic.station.image.Store(c.logic.image)
		if err := c.logic.link.Begin(c.scan); err != nil {
			return err
		}
	}
	if c.logic.station.newest.Load() != c {
		return errors.New("the controller on the bus takes part in another run")
	}
	if err := c.logic.link.Wait(in.Clock); err != nil {
		return err
	}
	if why := c.logic.link.Silent(); why != "" {
		return errors.New(why)
	}
	return nil
}

// meant is the state that the controller tells, or the one that its end stands for.
func (c *controller) meant(state int, end sequence.EndKind) int {
	states := c.logic.about.States
	if end == sequence.EndNone || states[state].End == end {
		return state
	}
	for i := range states {
		if states[i].End == end {
			return i
		}
	}
	return state
}

// enter takes over a state.
func (c *controller) enter(state int) sequence.Fired {
	from := c.state
	if state == from {
		return sequence.Fired{}
	}
	c.state, c.entered = state, c.clock
	states := c.logic.about.States
	return sequence.Fired{OK: true, From: states[from].Name, To: states[state].Name, FromIndex: from, ToIndex: state}
}

// StateIndex is the newest state that was told.
func (c *controller) StateIndex() int { return c.state }

// InState is the time since the state was entered.
func (c *controller) InState() time.Duration { return c.clock - c.entered }

// Cause is not told.
func (c *controller) Cause() string { return "" }

// Waiting is not known.
func (c *controller) Waiting() []sequence.Condition { return nil }

// PowerUp tells the controller that its power has returned, even one that had fallen silent.
func (c *controller) PowerUp() {
	c.state, c.entered = c.logic.about.PowerUp, c.clock
	if halt := new(sequence.Halt); errors.As(c.failure, &halt) && c.logic.station.newest.Load() == c {
		c.failure = nil
	}
	if c.failure == nil && c.begun {
		c.logic.image.powerUp()
	}
}

// Copy is refused: there is one controller, and one real time.
func (c *controller) Copy() (sequence.Controller, bool) { return nil, false }

// Finish takes the power from the controller.
func (c *controller) Finish() {
	if c.logic.station.newest.CompareAndSwap(c, nil) {
		c.logic.image.end()
	}
}
