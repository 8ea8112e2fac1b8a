package remote

import (
	"context"
	"errors"
	"slices"
	"time"

	"holdbench/sequence"
)

// controller is one run. What it was told is kept, so that the controller outside can be told again
// when another run has used the connection, or for a copy.
type controller struct {
	logic   *logic
	scan    time.Duration
	session *session    // in which it was told last; it may have another owner
	origin  *controller // of which it is a copy, until it has a session
	reader  reader
	told    []telling

	state   int
	clock   time.Duration // of the last scan
	started bool          // since the beginning or since power returned
	entered int           // scans since the state was entered
	cause   string
	outputs sequence.Outputs
	kept    []float64 // by place in Kept
	failure error
}

// telling is a line that the controller was told, and a sum over what it answered.
type telling struct {
	in      sequence.Inputs
	powerUp bool
	sum     uint64
}

// Scan tells the controller a scan and takes over its answer.
func (c *controller) Scan(in *sequence.Inputs, out *sequence.Outputs) (sequence.Fired, error) {
	if c.failure != nil {
		return sequence.Fired{}, c.failure
	}
	c.tick(in.Clock)
	in.InStateS, in.ScanS = c.InState().Seconds(), c.scan.Seconds()
	c.started = true
	c.told = append(c.told, telling{in: *in})
	a, err := c.tell()
	if err != nil {
		return sequence.Fired{}, err
	}
	for i := range c.kept {
		c.logic.about.Kept[i].SetInputNumber(in, c.kept[i])
	}
	*out = c.outputs
	return c.enter(&a), nil
}

// tick counts the scan, and those that were left out since the last one.
func (c *controller) tick(clock time.Duration) {
	if c.started {
		c.entered += max(1, int((clock-c.clock+c.scan/2)/c.scan))
	}
	c.clock = clock
}

// enter takes over the state that an answer named.
func (c *controller) enter(a *answer) sequence.Fired {
	from, to := c.state, c.state
	if a.state >= 0 {
		to = a.state
	}
	if from == to && a.transition == "" {
		return sequence.Fired{}
	}
	c.state, c.entered = to, 0
	states := c.logic.about.States
	if a.cause != "" {
		c.cause = a.cause
	}
	if states[to].End == sequence.EndPass {
		c.cause = "" // of a failure that was made good
	}
	return sequence.Fired{
		OK: true, From: states[from].Name, To: states[to].Name, FromIndex: from, ToIndex: to,
		Event: a.transition, Cause: a.cause,
	}
}

// tell exchanges the newest line, after all before it if the controller has to be told again.
func (c *controller) tell() (answer, error) {
	newest := len(c.told) - 1
	a, err := c.exchange(c.told[:newest], &c.told[newest])
	if err == nil {
		return a, nil
	}
	if c.failure = err; !errors.Is(err, context.Canceled) && !errors.Is(err, errDiffers) {
		c.failure = &sequence.Halt{Because: err.Error()}
	}
	return a, c.failure
}

func (c *controller) exchange(past []telling, t *telling) (answer, error) {
	pool := c.logic.pool
	s, told, err := pool.hold(c)
	if err != nil {
		return answer{}, err
	}
	if !told {
		if s, err = c.begin(s, past); err != nil {
			return answer{}, err
		}
	}
	a, err := c.exchangeIn(s, t)
	if err != nil {
		pool.drop(s)
		return a, err
	}
	s.mu.Unlock()
	return a, nil
}

// begin tells a locked session the run up to now. One that was lost while it was idle is replaced, as
// that has nothing to do with this run.
func (c *controller) begin(s *session, past []telling) (*session, error) {
	for {
		fresh := s.n == 1 // nothing but hello
		err := c.reset(s, len(past) == 0)
		if err == nil {
			err = c.tellAgain(s, past)
		} else if !fresh && !errors.Is(err, context.Canceled) {
			c.logic.pool.drop(s)
			if s, err = c.logic.pool.take(c); err != nil {
				return nil, err
			}
			continue
		}
		if err != nil {
			c.logic.pool.drop(s)
			return nil, err
		}
		return s, nil
	}
}

// reset tells a session that a run begins. What the answer sets is there before the first scan.
func (c *controller) reset(s *session, first bool) error {
	s.line = c.logic.words.appendReset(s.line[:0], s.n, c.logic.base.About().Name, c.logic.rig, c.scan)
	line, err := s.exchange()
	if err != nil {
		return err
	}
	out, kept := sequence.DefaultOutputs(), make([]float64, len(c.kept))
	a, err := c.reader.read(line, &out, kept)
	if err == nil {
		err = s.answers(&a)
	}
	if err == nil && first {
		c.outputs, c.kept = out, kept
	}
	return err
}

// exchangeIn exchanges a line in a session that knows the run.
func (c *controller) exchangeIn(s *session, t *telling) (answer, error) {
	s.line = c.appendLine(s.line[:0], s.n, t)
	line, err := s.exchange()
	if err != nil {
		return answer{}, err
	}
	a, err := c.take(s, t, line, &c.outputs, c.kept)
	if err == nil {
		t.sum = c.logic.words.sum(&a, &c.outputs, c.kept)
	}
	return a, err
}

func (c *controller) appendLine(dst []byte, n int64, t *telling) []byte {
	c.logic.pool.scans.Add(1)
	if t.powerUp {
		return appendPowerUp(dst, n)
	}
	return c.logic.words.appendScan(dst, n, &t.in)
}

// take reads the answer to a line into outputs and kept values.
func (c *controller) take(s *session, t *telling, line []byte, out *sequence.Outputs, kept []float64) (answer, error) {
	if t.powerUp {
		*out = sequence.PowerUpOutputs()
		clear(kept)
	}
	a, err := c.reader.read(line, out, kept)
	if err == nil {
		err = s.answers(&a)
	}
	return a, err
}

// StateIndex is the newest state that was told.
func (c *controller) StateIndex() int { return c.state }

// InState is the time since the state was entered.
func (c *controller) InState() time.Duration { return time.Duration(c.entered) * c.scan }

// Cause is the newest cause that was told.
func (c *controller) Cause() string { return c.cause }

// Waiting is not known.
func (c *controller) Waiting() []sequence.Condition { return nil }

// PowerUp tells the controller that its power has returned. What goes wrong is the error of the next
// scan.
func (c *controller) PowerUp() {
	c.state, c.entered, c.started, c.clock, c.cause = c.logic.about.PowerUp, 0, false, 0, ""
	if c.failure != nil {
		return
	}
	c.told = append(c.told, telling{powerUp: true})
	if a, err := c.tell(); err == nil && a.state >= 0 {
		c.state = a.state
	}
}

// Finish leaves the connection to the next run.
func (c *controller) Finish() {
	if s := c.session; s != nil {
		s.owner.CompareAndSwap(c, nil)
	}
}

// Copy is a copy that the controller outside is told about when the copy needs it.
func (c *controller) Copy() (sequence.Controller, bool) {
	n := *c
	n.origin, n.told, n.kept = c, slices.Clip(c.told), slices.Clone(c.kept)
	n.reader = reader{vocabulary: c.logic.words}
	return &n, true
}
