package binding

import (
	"errors"
	"time"

	"holdbench/sequence"
	"holdbench/sequence/st"
)

// Controller is one run of a bound program.
type Controller struct {
	logic    *Logic
	instance *st.Machine
	scan     time.Duration
	clock    time.Duration // of the last scan
	entered  time.Duration // by the same clock, when the state was entered
	started  bool
	passed   int64 // scans since the last one
	state    int
	cause    string
	causeAt  int // place of the cause among its words

	outputs sequence.Outputs
	halted  error

	tied                   *sequence.Inputs // the image that the wires lead to
	inputs, taken, watched wires
}

func newController(l *Logic, i *st.Machine, scan time.Duration) *Controller {
	c := &Controller{logic: l, instance: i, scan: scan, state: l.about.Start, outputs: sequence.DefaultOutputs(), causeAt: -1}
	if state, err := l.state.now(i); err == nil {
		c.state = state
	}
	return c
}

// Scan writes the inputs into the program, lets it run once and reads its outputs and its state.
// Nothing is allocated unless a text changes, the program stops or
// the image is another than before.
func (c *Controller) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	if c.halted != nil {
		return sequence.Fired{}, c.halted
	}
	c.tick(in.Clock)
	in.InStateS, in.ScanS = c.InState().Seconds(), c.scan.Seconds()
	in.ForgetKept()
	c.tie(in)
	if c.logic.doc.Scans != "" {
		if err := c.instance.SetInt(c.logic.scans, c.passed); err != nil {
			return c.halt(err)
		}
	}
	if err := c.inputs.put(c.instance); err != nil {
		return c.halt(err)
	}
	if err := c.instance.Scan(c.clock); err != nil {
		return c.halt(err)
	}
	if err := c.taken.take(c.instance, &c.outputs); err != nil {
		return c.halt(err)
	}
	c.watched.show(c.instance)
	fired, err := c.observe()
	*out = c.outputs
	return fired, err
}

// tie leads the wires to an image and to the outputs, unless they do already.
func (c *Controller) tie(in *sequence.Inputs) {
	if c.tied == in {
		return
	}
	c.tied, c.inputs, c.taken, c.watched = in, wires{}, wires{}, wires{}
	for k := range c.logic.inputs {
		l := &c.logic.inputs[k]
		c.inputs.add(l, l.signal.In(in))
	}
	for k := range c.logic.outputs {
		l := &c.logic.outputs[k]
		c.taken.add(l, l.signal.Out(&c.outputs))
	}
	for k := range c.logic.watch {
		w := &c.logic.watch[k]
		c.watched.add(&w.link, w.shown.In(in))
	}
}

// mostScans is the largest number of passed scans that a program receives.
const mostScans = 10_000

// tick takes the time of the bench, or counts scans where it is not given.
func (c *Controller) tick(clock time.Duration) {
	c.passed = 1
	switch {
	case clock > 0:
		c.passed = min(max(1, int64((clock-c.clock+c.scan/2)/c.scan)), mostScans)
		c.clock = clock
	case c.started:
		c.clock += c.scan
	}
	if !c.started {
		c.started, c.entered = true, c.clock
	}
}

// halt ends the run of the program; an error of it names file, line and column.
func (c *Controller) halt(err error) (sequence.Fired, error) {
	c.halted = &sequence.Halt{Because: err.Error()}
	return sequence.Fired{}, c.halted
}

// observe finds out whether the scan has entered another state, and with which cause.
func (c *Controller) observe() (sequence.Fired, error) {
	cause, err := c.newCause()
	if err != nil {
		return c.halt(err)
	}
	now, err := c.logic.state.now(c.instance)
	if err != nil {
		return c.halt(err)
	}
	if now == c.state {
		return sequence.Fired{}, nil
	}
	states, from := c.logic.about.States, c.state
	if c.logic.momentary {
		c.momentary(cause, states[now].End)
	}
	c.state, c.entered = now, c.clock
	return sequence.Fired{
		OK: true, From: states[from].Name, To: states[now].Name, FromIndex: from, ToIndex: now, Cause: cause,
	}, nil
}

// newCause is the cause if the scan has set it.
func (c *Controller) newCause() (string, error) {
	l := c.logic.cause
	if l == nil {
		return "", nil
	}
	k := l.match(c.instance)
	if k < 0 {
		return "", errors.New("the cause has the value " + l.shown(c.instance) + ", for which the binding has no word")
	}
	if c.logic.momentary {
		return l.words[k].word, nil
	}
	if k == c.causeAt {
		return "", nil
	}
	c.causeAt, c.cause = k, l.words[k].word
	return c.cause, nil
}

// momentary takes over a cause that the variable has only now. It stays until there is another, or a
// pass: then it is that of a failure that was made good.
func (c *Controller) momentary(cause string, to sequence.EndKind) {
	if cause != "" {
		c.cause = cause
	}
	if to == sequence.EndPass {
		c.cause = ""
	}
}

// StateIndex is the place of the present state.
func (c *Controller) StateIndex() int { return c.state }

// InState is the time since the state was entered.
func (c *Controller) InState() time.Duration { return c.clock - c.entered }

// Cause is what the program says.
func (c *Controller) Cause() string { return c.cause }

// Waiting is not known of a program.
func (c *Controller) Waiting() []sequence.Condition { return nil }

// PowerUp starts the program anew. What is declared RETAIN stays.
func (c *Controller) PowerUp() {
	c.instance.PowerCycle()
	err := c.logic.setParams(c.instance)
	again := newController(c.logic, c.instance, c.scan)
	again.outputs = sequence.PowerUpOutputs()
	again.clock = c.clock
	if *c = *again; err != nil {
		_, _ = c.halt(err)
	}
}

// Copy is a copy that goes on independently.
func (c *Controller) Copy() (sequence.Controller, bool) {
	n := *c
	n.instance, n.tied = c.instance.Copy(), nil
	return &n, true
}
