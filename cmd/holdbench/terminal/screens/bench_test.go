package screens

import (
	"fmt"
	"slices"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/history"
)

// desk is the bench with screens over it and no terminal: what the root does, without the
// drawing. Frames come only when a test sends them.
type desk struct {
	t       *testing.T
	bench   *Bench
	stack   []Screen
	size    tea.WindowSizeMsg
	frames  int // that were asked for
	pending []tea.Cmd
	sent    []tea.Msg // what the screens said to one another, in order
	now     time.Time // of the last frame
}

// newDesk has a built-in scenario on it.
func newDesk(t *testing.T, scenario string) *desk {
	t.Helper()
	return newDeskOf(t, t.TempDir(), loadCase(t, scenario))
}

// newDeskOf has a case on it, and keeps documents in a folder.
func newDeskOf(t *testing.T, folder string, c *sim.Case) *desk {
	t.Helper()
	worker := NewWorker(t.Context())
	worker.now = func() time.Time { return time.Time{} } // no job is ever late
	t.Cleanup(worker.Close)
	d := &desk{t: t, size: tea.WindowSizeMsg{Width: 120, Height: 40}, now: time.Unix(1000, 0)}
	d.bench = NewBench(worker, folder, Chosen{Reference: c.Scenario.Scenario}, c, "")
	d.bench.NextFrame = func() tea.Cmd { d.frames++; return nil }
	d.stack = []Screen{d.bench}
	d.send(d.size)
	d.run(d.bench.Init())
	d.sent = nil
	return d
}

// mostSteps bounds what may come of one message: going to the end of a long run takes some slices.
const mostSteps = 20000

// post routes a message and leaves what comes of it for later.
func (d *desk) post(msg tea.Msg) {
	d.t.Helper()
	d.pending = append(d.pending, d.route(msg))
}

func (d *desk) route(msg tea.Msg) tea.Cmd {
	var list []tea.Cmd
	_, isKey := msg.(tea.KeyMsg)
	_, isMouse := msg.(tea.MouseMsg)
	switch msg := msg.(type) {
	case Open:
		d.stack = append(d.stack, msg.Screen)
		_, cmd := msg.Screen.Update(d.size)
		return tea.Batch(msg.Screen.Init(), cmd)
	case Close:
		d.stack = d.stack[:max(1, len(d.stack)-1)]
		return nil
	}
	for i := len(d.stack) - 1; i >= 0; i-- {
		taken, cmd := d.stack[i].Update(msg)
		list = append(list, cmd)
		if taken && (isKey || isMouse) {
			break
		}
	}
	return tea.Batch(list...)
}

// run runs a command and all that comes of it.
func (d *desk) run(cmd tea.Cmd) {
	d.t.Helper()
	d.pending = append(d.pending, cmd)
	d.drain()
}

// drain runs what is pending, the oldest first.
func (d *desk) drain() {
	d.t.Helper()
	for steps := 0; len(d.pending) > 0; steps++ {
		require.Less(d.t, steps, mostSteps, "it comes to no end")
		d.step(0)
	}
}

// step runs one command that is pending.
func (d *desk) step(place int) {
	d.t.Helper()
	cmd := d.pending[place]
	d.pending = slices.Delete(d.pending, place, place+1)
	if cmd == nil {
		return
	}
	msg := cmd()
	if list, ok := asCommands(msg); ok {
		d.pending = slices.Insert(d.pending, place, list...)
		return
	}
	switch msg.(type) {
	case nil:
		return
	case player.Progress, loaded, nominalRun, otherRun, runsCompared:
	default:
		d.sent = append(d.sent, msg)
	}
	d.post(msg)
}

// send gives a message, runs all commands that come of it, and returns the messages of the
// screens to one another.
func (d *desk) send(msg tea.Msg) []tea.Msg {
	d.t.Helper()
	before := len(d.sent)
	d.post(msg)
	d.drain()
	return d.sent[before:]
}

// press presses keys and returns the messages of the last one.
func (d *desk) press(keys ...string) (last []tea.Msg) {
	d.t.Helper()
	for _, k := range keys {
		last = d.send(keyOf(k))
	}
	return last
}

// frame lets a frame come some time after the one before.
func (d *desk) frame(after time.Duration) {
	d.t.Helper()
	d.now = d.now.Add(after)
	d.send(Frame(d.now))
}

// playFor lets frames come for some real time.
func (d *desk) playFor(span time.Duration) {
	d.t.Helper()
	for range int64(span / frameRate) {
		d.frame(frameRate)
	}
}

func (d *desk) top() Screen { return d.stack[len(d.stack)-1] }

// goTo brings the bench to a moment.
func (d *desk) goTo(ticks int64) {
	d.t.Helper()
	d.bench.player.GoTo(ticks)
	d.run(d.bench.dispatch())
}

// setSpeed makes a run play at one of the speeds.
func (d *desk) setSpeed(want float64) {
	for d.bench.player.Speed() < want {
		d.bench.player.Faster()
	}
	for d.bench.player.Speed() > want {
		d.bench.player.Slower()
	}
}

// view is what the bench shows.
func (d *desk) view() *sim.View { return d.bench.player.Shown().View }

// shows wants a number of ticks done at the moment shown.
func (d *desk) shows(ticks int64, why string) {
	d.t.Helper()
	require.Equal(d.t, ticks, d.view().Tick, why)
	require.Equal(d.t, ticks, d.bench.player.Cursor(), "the cursor is what is shown")
}

// text is the bench as it is seen, with the screens over it.
func (d *desk) text() string { return d.textOf(d.bench) }

func (d *desk) textOf(s Screen) string { return text(s, d.size.Width, d.size.Height) }

// finds gives the first message of a type that was sent.
func finds[M any](list []tea.Msg) (found M, ok bool) {
	for _, msg := range list {
		if m, ok := msg.(M); ok {
			return m, true
		}
	}
	return found, false
}

// says wants the notice to have a text.
func (d *desk) says(what string, bad bool) {
	d.t.Helper()
	require.Contains(d.t, d.bench.notice.Text, what)
	require.Equal(d.t, bad, d.bench.notice.Bad)
}

// replay runs what was played from its start, up to where the bench's run is.
func (d *desk) replay() *history.Run {
	d.t.Helper()
	c, _, err := d.bench.Case().With(d.bench.runs.list[0].PlayedScenario())
	require.NoError(d.t, err)
	run := history.New(c)
	run.Advance(d.bench.runs.list[0].Ticks(), nil)
	return run
}

// same holds what can be seen of two runs against each other. As text, since no NaN is
// another's equal.
func same(t require.TestingT, want, got *history.Run, why string) {
	require.Equal(t, want.Ticks(), got.Ticks(), why)
	require.Equal(t, want.Done(), got.Done(), why)
	require.Equal(t, fmt.Sprint(want.Events()), fmt.Sprint(got.Events()), why)
	require.Equal(t, fmt.Sprint(want.Samples()), fmt.Sprint(got.Samples()), why)
	if want.Done() {
		a, err := want.Result()
		require.NoError(t, err)
		b, err := got.Result()
		require.NoError(t, err)
		require.Equal(t, a, b, why)
	}
}

func TestBenchBegins(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.shows(1, "the first tick is done, so that there is something to see")
	assert.False(t, d.bench.Changed())
	assert.False(t, d.bench.Typing())
	assert.Equal(t, "lining-worn-thin-0.000s", d.bench.Name())
	assert.Equal(t, Rect{0, 0, 80, 23}, d.bench.Place(80, 23))
	assert.Contains(t, d.text(), "lining-worn-thin")
}

// Before the first run is there, the bench can be drawn and left.
func TestBenchWithoutARun(t *testing.T) {
	t.Parallel()
	worker := NewWorker(t.Context())
	defer worker.Close()
	b := NewBench(worker, ".", Chosen{}, loadCase(t, "healthy-down"), "")
	assert.Contains(t, text(b, 80, 24), "holdbench")
	assert.Equal(t, "holdbench", b.Name())
	assert.Nil(t, b.Case())
	b.notice = Notice{"there is no such file", true}
	assert.Contains(t, text(b, 80, 24), "there is no such file")
	assert.Equal(t, []tea.Msg{Leave{}}, press(t, b, "q"))
	got := press(t, b, "l")
	require.Len(t, got, 1)
	assert.IsType(t, &chooseScreen{}, got[0].(Open).Screen)
	for _, k := range []string{" ", "t", "x", "right", "end", "r", "u", "U", "v", "n", "b", "k"} {
		assert.Empty(t, press(t, b, k), k)
	}
	for _, msg := range []tea.Msg{
		injectFault{}, removeFault{}, setValues{map[string]string{"a": "b"}}, Play{}, Frame(time.Now()), player.Progress{}, MaskRiddle{}, Stops{}, click(3, 3),
	} {
		b.Update(msg)
	}
	assert.False(t, b.Changed())
}

// Frames move the run on in real time, times the speed.
func TestFrames(t *testing.T) {
	t.Parallel()
	for _, speed := range []float64{0.01, 0.02, 0.05, 0.1, 0.2, 0.5, 1, 2, 5, 10} { // at a higher one the run would be over
		t.Run(fmt.Sprint(speed), func(t *testing.T) {
			d := newDesk(t, "healthy-down-and-up")
			d.setSpeed(speed)
			d.press(" ")
			d.frame(0) // the first one has none before it
			d.playFor(time.Second / 2)
			perFrame := speed / 30 / 0.00025
			assert.InDelta(t, 1+15*perFrame, float64(d.bench.player.Cursor()), perFrame+1, "15 frames of 1/30 s")
			assert.Equal(t, 1+1+15, d.frames, "every frame asks for the next one")
		})
	}
}

func TestFramesSlowDown(t *testing.T) {
	t.Parallel()
	t.Run("AfterALongWait", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press(" ")
		d.frame(0)
		d.frame(10 * time.Second)
		d.shows(1+1000, "a frame that comes late is worth a quarter of a second at most")
	})
	t.Run("WhileAJobIsUnderWay", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press(" ")
		d.frame(0)
		d.post(Frame(d.now.Add(frameRate)))
		require.True(t, d.bench.player.Busy())
		d.post(Frame(d.now.Add(2 * frameRate)))
		d.drain()
		d.shows(1+133, "the second frame found the run at work and let it be")
	})
}

func TestPause(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.frame(frameRate)
	d.shows(1, "a frame does nothing while the run is paused")
	assert.Zero(t, d.frames, "and asks for no other")

	d.press(" ")
	assert.Equal(t, player.Playing, d.bench.player.State())
	assert.Equal(t, 1, d.frames)
	d.frame(0)
	d.frame(frameRate)
	at := d.bench.player.Cursor()
	d.press(" ")
	assert.NotEqual(t, player.Playing, d.bench.player.State())
	asked := d.frames
	d.frame(frameRate)
	d.shows(at, "the frame that was on its way changes nothing")
	assert.Equal(t, asked, d.frames)

	d.press(" ", " ", " ") // run, pause, run within one frame
	assert.Equal(t, asked+1, d.frames, "there is one chain of frames, never two")
}

// Frames end with the run; the end is announced once.
func TestFramesEndWithTheRun(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.setSpeed(1000)
	d.press(" ")
	for range 1000 {
		d.frame(frameRate)
	}
	require.True(t, d.bench.player.Shown().Over)
	assert.NotEqual(t, player.Playing, d.bench.player.State())
	asked := d.frames
	d.frame(frameRate)
	assert.Equal(t, asked, d.frames)
	var over []runOver
	for _, msg := range d.sent {
		if o, ok := msg.(runOver); ok {
			over = append(over, o)
		}
	}
	require.Len(t, over, 1)
	want, err := sim.Run(loadCase(t, "lining-worn-thin"), nil)
	require.NoError(t, err)
	assert.Equal(t, want, over[0].Result, "to be watched changes nothing")
	assert.Same(t, d.bench.Case(), over[0].Case)
	d.press(" ")
	d.says("the run has ended", false)
	d.send(Play{})
	assert.NotEqual(t, player.Playing, d.bench.player.State())
}

// What was recorded is played again up to its end, and the run goes on from there.
func TestPlayInThePast(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.press("]", "home", " ")
	head := d.bench.player.Shown().Ticks
	require.EqualValues(t, 1+4000, head)
	d.frame(0)
	d.frame(frameRate)
	d.shows(1+133, "in the past")
	assert.Equal(t, head, d.bench.player.Shown().Ticks, "nothing is simulated for it")
	d.playFor(2 * time.Second)
	assert.Greater(t, d.bench.player.Shown().Ticks, head)
	assert.Equal(t, player.Newest, d.bench.player.Shown().Cursor)
}

// Keys that come faster than jobs add up, and the last moment counts.
func TestKeysInQuickSuccession(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name string
		keys []string
		want int64
	}{
		{"on", []string{"right", "right", "right"}, 5001 + 3*400},
		{"far on", []string{"]", "]", "right"}, 5001 + 8400},
		{"back", []string{"left", "left"}, 5001 - 800},
		{"on and back", []string{"right", "right", "left"}, 5001 + 400},
		{"back and on", []string{"left", "right", "right"}, 5001 + 400},
		{"scans", []string{".", ".", "."}, 5001 + 24},
		{"scans back", []string{",", ","}, 5001 - 16},
		{"start", []string{"right", "home"}, 1},
		{"before the start", []string{"home", "left", "["}, 1},
		{"start and on", []string{"right", "home", "right"}, 1 + 400},
	} {
		t.Run(c.name, func(t *testing.T) {
			d := newDesk(t, "healthy-down-and-up")
			d.press("]", "right", "right", ".")
			d.goTo(5001)
			d.shows(5001, "begins here")
			d.post(keyOf(c.keys[0]))
			require.True(t, d.bench.player.Busy())
			for _, k := range c.keys[1:] {
				d.post(keyOf(k))
			}
			assert.Equal(t, c.want, d.bench.player.Cursor(), "before the jobs are done")
			d.drain()
			d.shows(c.want, "after")
		})
	}
}

// What the operator does in quick succession is done at the moment that the keys led to.
func TestOperatorInQuickSuccession(t *testing.T) {
	t.Parallel()
	t.Run("Twice", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		for range 2 {
			d.post(keyOf("c"))
		}
		d.drain()
		assert.False(t, d.view().Buttons["cancel"], "on and off again")
		assert.Len(t, d.bench.runs.list[0].PlayedScenario().Script, 3, "the trigger of the scenario, and both")
	})
	t.Run("AtTheMomentThatKeysLedTo", func(t *testing.T) {
		for _, first := range []string{"left", "right"} {
			d := newDesk(t, "healthy-down-and-up")
			d.press("]")
			d.post(keyOf(first))
			d.post(keyOf(first))
			at := d.bench.player.Cursor()
			d.post(keyOf("x"))
			d.drain()
			script := d.bench.runs.list[0].PlayedScenario().Script
			assert.Equal(t, time.Duration(at)*250*time.Microsecond, script[len(script)-1].At, first)
			assert.Equal(t, first == "left", len(d.bench.runs.list) == 2, "a change in the past makes a branch")
		}
	})
	t.Run("TwoInThePast", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("]")
		for _, k := range []string{"left", "left", "x", "c"} {
			d.post(keyOf(k))
		}
		d.drain()
		require.Len(t, d.bench.runs.list, 2, "one branch has both")
		assert.True(t, d.view().Buttons["estop"])
		assert.True(t, d.view().Buttons["cancel"])
	})
}

// Running goes on where a job ended, and ends with every key that moves along the run.
func TestRunningIsEndedByKeys(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.post(keyOf("end"))
	require.Equal(t, player.Running, d.bench.player.State())
	assert.Contains(t, d.text(), "to the end")
	d.post(keyOf(" "))
	assert.NotEqual(t, player.Running, d.bench.player.State())
	d.drain()
	d.post(keyOf("end"))
	d.post(keyOf("home"))
	d.drain()
	d.shows(1, "the last key counts")
	d.press("end")
	require.True(t, d.bench.player.Shown().Over)
	for _, k := range []string{"end", "s", "e"} {
		got := d.press(k)
		_, again := finds[runOver](got)
		assert.False(t, again, "the end is announced once")
		assert.Equal(t, player.Newest, d.bench.player.Shown().Cursor)
	}
}

func TestOrders(t *testing.T) {
	t.Parallel()
	worn := sim.Fault{Set: map[string]string{"brake.condition": "0.35"}}
	t.Run("InjectFault", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("right")
		d.send(injectFault{worn})
		require.Len(t, d.view().Faults, 1)
		assert.True(t, d.view().Faults[0].Active, "it is on at once, also while the run is paused")
		assert.Len(t, d.bench.runs.list[0].PlayedScenario().Faults, 1)
		assert.True(t, d.bench.Changed())
		assert.Len(t, d.bench.runs.list, 1, "at the newest moment there is nothing to branch from")
		same(t, d.replay(), d.bench.runs.list[0], "what was played")
	})
	t.Run("InjectedInThePast", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("]", "left")
		old := d.bench.runs.list[0]
		d.send(injectFault{worn})
		require.Len(t, d.bench.runs.list, 2)
		assert.Same(t, old, d.bench.runs.list[1])
		d.says("a branch from here", false)
		d.shows(1+4000-400+1, "the branch is where it was changed")
		assert.Equal(t, fmt.Sprint(old.Samples()), fmt.Sprint(d.bench.runs.earlier), "the earlier run is the whole run before")
	})
	t.Run("Refused", func(t *testing.T) {
		for name, fault := range map[string]sim.Fault{
			"a target that is none": {Set: map[string]string{"brake.colour": "1"}},
			"out of range":          {Set: map[string]string{"brake.condition": "-1"}},
			"entered already":       {When: &sim.Moment{State: "ready"}, Set: worn.Set},
		} {
			d := newDesk(t, "healthy-down-and-up")
			d.press("right", "right", "left")
			before := d.view()
			run, c := d.bench.runs.list[0], d.bench.Case()
			d.send(injectFault{fault})
			require.NotEmpty(t, d.bench.notice.Text, name)
			assert.True(t, d.bench.notice.Bad, name)
			assert.False(t, d.bench.Changed(), name)
			assert.Equal(t, []*history.Run{run}, d.bench.runs.list, name)
			assert.Same(t, c, d.bench.Case())
			assert.Equal(t, before, d.view(), name)
			assert.EqualValues(t, 801, d.bench.player.Shown().Ticks, name)
		}
	})
	t.Run("RefusedAfterTheEnd", func(t *testing.T) {
		d := newDesk(t, "lining-worn-thin")
		d.press("end")
		d.send(injectFault{worn})
		d.says("the run has ended; go back in it", true)
		d.press("x")
		d.says("the run has ended; go back in it", true)
		assert.False(t, d.bench.Changed())
	})
	t.Run("RemoveFault", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.send(injectFault{sim.Fault{Set: map[string]string{"encoder.frozen": "true"}}})
		require.True(t, d.view().Faults[0].Active)
		d.press("right")
		d.send(removeFault{0})
		assert.False(t, d.view().Faults[0].Active)
		assert.True(t, d.view().Faults[0].Over)
		d.send(removeFault{7})
		d.says("there is no fault 8", true)
		same(t, d.replay(), d.bench.runs.list[0], "what was played")
	})
	t.Run("Changed", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("]", "x")
		old := d.bench.runs.list[0]
		got := d.send(setValues{map[string]string{"rig.load.mass_kg": "150"}})
		replaced, ok := finds[caseReplaced](got)
		require.True(t, ok)
		assert.Same(t, d.bench.Case(), replaced.Case)
		assert.Equal(t, 150.0, d.bench.Case().Rig.Load.MassKG)
		d.shows(1, "it runs again from its start")
		require.Len(t, d.bench.runs.list, 2)
		assert.Same(t, old, d.bench.runs.list[1], "the earlier run is the run before")
		assert.Equal(t, old.PlayedScenario().Script, d.bench.runs.list[0].PlayedScenario().Script, "what the operator did stays")
		assert.True(t, d.bench.Changed())
	})
	t.Run("ChangedToNonsense", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		run := d.bench.runs.list[0]
		d.send(setValues{map[string]string{"rig.load.mass_kg": "-1"}})
		d.says("mass_kg", true)
		assert.Equal(t, []*history.Run{run}, d.bench.runs.list)
	})
	t.Run("Begin", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("]")
		other := loadCase(t, "lining-worn-thin")
		got := d.send(beginRun{Case: other})
		replaced, ok := finds[caseReplaced](got)
		require.True(t, ok)
		assert.Same(t, other, replaced.Case)
		assert.NotNil(t, replaced.Before)
		assert.Same(t, other, d.bench.Case())
		assert.Equal(t, player.Playing, d.bench.player.State())
		assert.Positive(t, d.frames)
		assert.Len(t, d.bench.runs.list, 2, "earlier runs stay at hand")
	})
	t.Run("BeginWhileAJobIsUnderWay", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.post(keyOf("]"))
		job := d.pending
		d.pending = nil
		d.send(beginRun{Case: d.bench.Case()})
		require.Len(t, d.bench.runs.list, 1, "the run that becomes the earlier run is not touched while a job has it")
		d.pending = job
		d.drain()
		require.Len(t, d.bench.runs.list, 2)
		d.shows(1, "the new one")
		assert.Equal(t, fmt.Sprint(d.bench.runs.list[1].Samples()), fmt.Sprint(d.bench.runs.earlier))
		assert.Len(t, d.bench.runs.earlier, 501)
	})
	t.Run("Play", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.send(Play{})
		assert.Equal(t, player.Playing, d.bench.player.State())
		assert.Equal(t, 1, d.frames)
	})
	t.Run("MaskRiddle", func(t *testing.T) {
		d := newDesk(t, "lining-worn-thin")
		d.send(MaskRiddle{&RiddleMask{Title: "riddle 5"}})
		assert.Contains(t, d.text(), "riddle 5")
		assert.NotContains(t, d.text(), "lining-worn")
		assert.Equal(t, "riddle-0.000s", d.bench.Name())
		d.send(MaskRiddle{})
		assert.Contains(t, d.text(), "lining-worn-thin")
	})
	t.Run("Kept", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("x")
		require.True(t, d.bench.Changed())
		d.send(RunKept{"mine.yaml"})
		assert.False(t, d.bench.Changed())
		d.says("kept in mine.yaml", false)
	})
	t.Run("Notice", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.send(Notice{Text: "the disk is full", Bad: true})
		assert.Contains(t, d.text(), "✗ the disk is full")
		d.press("+")
		assert.NotContains(t, d.text(), "the disk is full", "the next key takes it away")
	})
}

func TestChosen(t *testing.T) {
	t.Parallel()
	t.Run("OK", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("]", "r")
		require.Len(t, d.bench.runs.list, 2)
		d.send(Chosen{Reference: "lining-worn-thin", Overrides: scenarios.Overrides{Seed: 7}})
		assert.Equal(t, "lining-worn-thin", d.bench.Case().Scenario.Scenario)
		assert.EqualValues(t, 7, d.bench.Case().Seed)
		assert.Len(t, d.bench.runs.list, 1, "the runs of the scenario before are gone")
		assert.Empty(t, d.bench.runs.earlier)
		assert.False(t, d.bench.Changed())
		assert.Equal(t, "lining-worn-thin", d.bench.source.chosen.Reference)
	})
	t.Run("AsksBeforeWorkIsLost", func(t *testing.T) {
		for answer, want := range map[string]string{"n": "healthy-down-and-up", "esc": "healthy-down-and-up", "y": "lining-worn-thin"} {
			d := newDesk(t, "healthy-down-and-up")
			d.press("x")
			d.send(Chosen{Reference: "lining-worn-thin"})
			require.IsType(t, &askScreen{}, d.top())
			assert.Equal(t, "healthy-down-and-up", d.bench.Case().Scenario.Scenario)
			d.press(answer)
			assert.Len(t, d.stack, 1)
			assert.Equal(t, want, d.bench.Case().Scenario.Scenario, answer)
			assert.Equal(t, answer != "y", d.bench.Changed())
		}
	})
	t.Run("Broken", func(t *testing.T) {
		d := newDesk(t, "healthy-down-and-up")
		d.press("right")
		run, c := d.bench.runs.list[0], d.bench.Case()
		d.send(Chosen{Reference: "no-such-scenario"})
		d.says("no-such-scenario", true)
		assert.Equal(t, []*history.Run{run}, d.bench.runs.list, "the run stays")
		assert.Same(t, c, d.bench.Case())
		assert.Equal(t, "healthy-down-and-up", d.bench.source.chosen.Reference)
		d.shows(401, "where it was")
	})
}

// A job of a run that was replaced is ignored.
func TestStaleJobs(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	old := d.bench.runs.list[0]
	d.send(Chosen{Reference: "lining-worn-thin"})
	before := *d.bench.player.Shown()
	for _, p := range []player.Progress{
		{Of: old, Run: old, Err: assert.AnError, Over: true, View: old.View()},
		{Of: old, Run: old, Branch: true},
		{},
	} {
		assert.Empty(t, d.send(p))
		assert.Equal(t, before, *d.bench.player.Shown())
		assert.Len(t, d.bench.runs.list, 1)
		assert.Empty(t, d.bench.notice.Text)
	}
	d.send(nominalRun{of: old.Case(), samples: make([]history.Sample, 3)})
	assert.Nil(t, d.bench.nominal.samples, "it is the nominal run of another case")
}

// The end of a run is kept, and the document gives the same run.
func TestKeepFromTheBench(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "lining-worn-thin")
	d.press("]", "[", "right", "x", "]", "k")
	require.IsType(t, &keepScreen{}, d.top())
	assert.Contains(t, d.textOf(d.top()), "The run has not ended")
	d.press("esc", "end", "k")
	played := d.bench.runs.list[0]
	d.press("enter")
	require.Len(t, d.stack, 1)
	assert.False(t, d.bench.Changed())
	kept, ok := finds[RunKept](d.sent)
	require.True(t, ok)
	c, _, err := scenarios.LoadCase(kept.Path, scenarios.Overrides{})
	require.NoError(t, err)
	again := history.New(c)
	again.Advance(1<<40, nil)
	assert.Equal(t, fmt.Sprint(played.Samples()), fmt.Sprint(again.Samples()))
	got, err := again.Result()
	require.NoError(t, err)
	assert.True(t, got.Met(), "the run that was kept is what it expects")
}

// A rig that the command line gave is in what is kept.
func TestKeepNamesWhatWasGiven(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.send(Chosen{Reference: "healthy-down-and-up", Overrides: scenarios.Overrides{Rig: "pane-hoist", Sequence: "reference", Seed: 4}})
	d.press("end", "k", "enter")
	kept, ok := finds[RunKept](d.sent)
	require.True(t, ok)
	c, _, err := scenarios.LoadCase(kept.Path, scenarios.Overrides{})
	require.NoError(t, err)
	assert.Equal(t, "pane-hoist", c.Rig.Rig)
	assert.EqualValues(t, 4, c.Seed)
	assert.Equal(t, sim.Reference{Name: "pane-hoist"}, c.Scenario.Rig)
}

func TestMouse(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.press("]", "]")
	head := d.bench.player.Shown().Ticks
	d.send(turn(3, 3, tea.MouseButtonWheelUp))
	d.shows(head-400, "a tenth of a second back")
	d.send(turn(3, 3, tea.MouseButtonWheelDown))
	d.shows(head, "and on")

	x, y := find(t, d.bench, "┃", d.size.Width, d.size.Height)
	for _, share := range []float64{0.25, 0.5, 0.75} {
		at := 2 + int(share*float64(x-2))
		d.send(click(at, y))
		assert.InDelta(t, float64(at-2)/float64(x-2)*2, d.view().TS, 2.0/100, "the moment under the mouse")
	}
	d.send(tea.MouseMsg{X: 2, Y: y, Button: tea.MouseButtonLeft, Action: tea.MouseActionMotion})
	assert.Zero(t, d.view().TS, "the run follows the mouse")
	d.send(tea.MouseMsg{X: x, Y: y, Button: tea.MouseButtonLeft, Action: tea.MouseActionRelease})
	assert.Zero(t, d.view().TS, "but not where it is let go")
	assert.Equal(t, head, d.bench.player.Shown().Ticks, "a click simulates nothing")

	x, y = find(t, d.bench, "obligations", d.size.Width, d.size.Height)
	d.send(click(x, y))
	assert.Contains(t, d.text(), "[obligations]")
}
