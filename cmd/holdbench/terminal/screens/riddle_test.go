package screens

import (
	"context"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	tea "github.com/charmbracelet/bubbletea"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/caution"
	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/player"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/history"
	"holdbench/sim/training"
)

// deskWithRiddle opens the riddle over the bench.
func deskWithRiddle(t *testing.T, w, h int) (*desk, *riddleScreen) {
	t.Helper()
	d := newDesk(t, "healthy-down-and-up")
	d.size = tea.WindowSizeMsg{Width: w, Height: h}
	d.send(d.size)
	d.press("b")
	b, ok := d.top().(*riddleScreen)
	require.True(t, ok)
	return d, b
}

// drawnRiddle is one that was drawn, with its run begun.
func drawnRiddle(t *testing.T, seed uint64) (*desk, *riddleScreen) {
	t.Helper()
	d, b := deskWithRiddle(t, 120, 40)
	d.press("ctrl+u")
	for _, r := range strconv.FormatUint(seed, 10) {
		d.press(string(r))
	}
	d.post(keyOf("enter"))
	d.pending = nil // in place of the command that draws it
	d.send(drawn{of: b, riddle: riddleOf(t, seed)})
	require.Equal(t, riddleLooks, b.part)
	return d, b
}

// riddleOf is what a seed draws; it takes some runs, so each is drawn once.
func riddleOf(t *testing.T, seed uint64) *training.Riddle {
	t.Helper()
	draw, _ := riddles.LoadOrStore(seed, sync.OnceValues(func() (*training.Riddle, error) {
		return training.Draw(context.Background(), loadCase(t, "healthy-down-and-up"), training.One, seed)
	}))
	r, err := draw.(func() (*training.Riddle, error))()
	require.NoError(t, err)
	return r
}

var riddles sync.Map // by seed

func TestRiddleOpens(t *testing.T) {
	t.Parallel()
	for _, size := range goldenSizes {
		d, b := deskWithRiddle(t, size[0], size[1])
		assert.Contains(t, joined(d.textOf(b)), "! "+caution.Whole, "%v", size)
		assert.Contains(t, d.textOf(b), "seed "+b.seed.text())
		assert.Regexp(t, `^\d{1,6}$`, b.seed.text())
		for _, row := range training.Levels() {
			assert.Contains(t, d.textOf(b), string(row.Level), "%v", size)
		}
		assert.True(t, b.Typing())
		d.press("esc")
		assert.Len(t, d.stack, 1)
		assert.Nil(t, d.bench.mask)
	}
}

func TestRiddleSeed(t *testing.T) {
	t.Parallel()
	for _, text := range []string{"", "x", "-1", "1.5", "99999999999999999999"} {
		d, b := deskWithRiddle(t, 80, 24)
		d.press("ctrl+u")
		for _, r := range text {
			d.press(string(r))
		}
		d.press("enter")
		assert.Equal(t, riddleOpens, b.part, text)
		assert.Contains(t, d.textOf(b), fmt.Sprintf("the seed is %q; must be a whole number from 0", text))
	}
	d, b := deskWithRiddle(t, 80, 24)
	d.press("ctrl+u", "1", "2", "q", "backspace")
	d.post(keyOf("enter"))
	assert.Equal(t, riddleDraws, b.part, "it is drawn in a command")
	assert.Contains(t, d.textOf(b), "drawing")
	for _, k := range []string{"enter", " ", "down", "1"} {
		d.post(keyOf(k))
		assert.Equal(t, riddleDraws, b.part, "no key does anything before it is there")
		assert.Contains(t, d.textOf(b), shown(k)+" is not taken while the fault is drawn", "which is said")
	}
	d.drain()
	require.Equal(t, riddleLooks, b.part)
	assert.EqualValues(t, 12, b.riddle.Seed)
	want, err := training.Draw(t.Context(), loadCase(t, "healthy-down-and-up"), training.One, 12)
	require.NoError(t, err)
	assert.Equal(t, want.Truth.Name(), b.riddle.Truth.Name(), "the same seed draws the same fault")
	assert.Same(t, b.riddle.Case, d.bench.Case())
	assert.Equal(t, player.Playing, d.bench.player.State())
	assert.Contains(t, d.text(), "riddle 12")
	assert.Zero(t, b.looks)
}

// A riddle that was left while it was drawn is not the one that is drawn later.
func TestRiddleLeftWhileDrawn(t *testing.T) {
	t.Parallel()
	d, b := deskWithRiddle(t, 80, 24)
	d.post(keyOf("enter"))
	waiting := d.pending
	d.pending = nil
	d.press("esc", "b", "ctrl+u", "2")
	d.post(keyOf("enter"))
	d.pending = append(waiting, d.pending...)
	d.drain()
	assert.Equal(t, riddleDraws, b.part)
	assert.EqualValues(t, 2, d.top().(*riddleScreen).riddle.Seed)
}

func TestRiddleThatCannotBeDrawn(t *testing.T) {
	t.Parallel()
	d, b := deskWithRiddle(t, 80, 24)
	b.part = riddleDraws
	d.send(drawn{of: b, err: assert.AnError})
	assert.Equal(t, riddleOpens, b.part)
	assert.Contains(t, d.textOf(b), assert.AnError.Error())
	d.send(drawn{of: b})
	assert.Equal(t, riddleOpens, b.part)
}

// masked wants nothing on the screen to name the fault.
func masked(t *testing.T, d *desk, r *training.Riddle) {
	t.Helper()
	list := secrets(r)
	for _, size := range goldenSizes {
		d.bench.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		screen := text(d.bench, size[0], size[1])
		for _, secret := range list {
			if strings.Contains(screen, secret) {
				require.Fail(t, "the screen gives the fault away", "%q of riddle %d at %v:\n%s", secret, r.Seed, size, screen)
			}
		}
	}
}

// secrets are the words that would reveal the fault.
func secrets(r *training.Riddle) []string {
	list := []string{"faults ▲", "1 fault", "broken", "•"}
	for _, f := range r.Truth {
		list = append(list, f.Entry.Name, f.Entry.What[:min(20, len(f.Entry.What))])
	}
	for _, f := range r.Case.Scenario.Faults {
		for target, value := range f.Set {
			list = append(list, target, target+" = "+value)
		}
	}
	for _, o := range sim.Obligations() {
		list = append(list, "✗ "+o.Name, "✓ "+o.Name)
	}
	return slices.DeleteFunc(list, func(word string) bool { return saidBySequence(r.Case, word) })
}

// saidBySequence is whether the sequence itself has a word, as a cause that it may name.
func saidBySequence(c *sim.Case, word string) bool {
	p, ok := c.Program()
	if !ok {
		return slices.Contains(c.Sequence.Causes, word)
	}
	for _, s := range p.States() {
		for _, e := range s.Edges {
			if e.Cause == word {
				return true
			}
		}
	}
	return false
}

// With the mask on, nothing on the screen names the fault: not its name, not what it sets,
// nothing that only the plant knows, and no value that the fault has set.
func TestMask(t *testing.T) {
	t.Parallel()
	for _, seed := range some([]uint64{1, 2, 3, 4, 5, 6, 7, 8, 9, 10, 11, 12}) {
		t.Run(strconv.FormatUint(seed, 10), func(t *testing.T) {
			t.Parallel()
			d, b := drawnRiddle(t, seed)
			figures := figuresShown(d)
			maskedToTheEnd(t, d, b.riddle)
			hidesValues(t, b.riddle, append(figures, figuresShown(d)...))
			d.press("o", "r", "end", "o", "g", "z", "u")
			for range int(view.TabCount) {
				masked(t, d, b.riddle)
				d.press("tab")
			}
			for range 5 {
				d.press("E")
				masked(t, d, b.riddle)
			}
		})
	}
}

// maskedToTheEnd goes from state to state and looks into every tab.
func maskedToTheEnd(t *testing.T, d *desk, r *training.Riddle) {
	t.Helper()
	for range int(view.TabCount) {
		masked(t, d, r)
		d.press("tab")
	}
	for range 40 {
		d.press("s")
		masked(t, d, r)
		if d.bench.player.Shown().AtEnd() {
			break
		}
	}
	require.True(t, d.bench.player.Shown().Over)
}

// figuresShown are all figures on the screen, at every size.
func figuresShown(d *desk) []string {
	figure := regexp.MustCompile(`[-+−]?\d+(\.\d+)?`)
	var all []string
	for _, size := range goldenSizes {
		d.bench.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		all = append(all, figure.FindAllString(text(d.bench, size[0], size[1]), -1)...)
	}
	return all
}

// hidesValues wants no value of the fault among figures: those of three digits and more, as a
// figure of one may be anything.
func hidesValues(t *testing.T, r *training.Riddle, figures []string) {
	t.Helper()
	for _, f := range r.Case.Scenario.Faults {
		for target, value := range f.Set {
			if len(strings.Trim(value, "-.0")) < 3 {
				continue
			}
			for _, s := range figures {
				assert.NotEqual(t, strings.Trim(value, "-+"), strings.Trim(s, "-+−"), "%s of riddle %d", target, r.Seed)
			}
		}
	}
}

// Keys that would reveal the fault do nothing under the mask, and say so.
func TestMaskKeys(t *testing.T) {
	t.Parallel()
	d, _ := drawnRiddle(t, 13)
	for _, k := range []string{"f", "k", "h", "n", "l"} {
		d.press(k)
		assert.Len(t, d.stack, 2, k)
		assert.NotEmpty(t, d.bench.notice.Text, k)
		assert.False(t, d.bench.scene().Truth, k)
	}
	assert.Empty(t, d.press("b"))
	d.press("v")
	require.IsType(t, &valuesScreen{}, d.top(), "values may be changed")
	assert.Empty(t, d.top().(*valuesScreen).c.Scenario.Faults, "they are those without the fault")
	d.press("esc")
	for range 3 {
		d.press("?")
		require.IsType(t, &helpScreen{}, d.top())
		d.press("esc")
	}
	d.press("w")
	_, saves := finds[SaveScreen](d.sent)
	assert.True(t, saves)
	assert.Contains(t, d.bench.Name(), "riddle")
}

// changesLoad runs the riddle with other loads, one look each.
func changesLoad(d *desk, times int) {
	for i := range times {
		d.press("right")
		d.send(setValues{map[string]string{"rig.load.mass_kg": strconv.Itoa(140 + i)}})
	}
}

// Runs with other values are looks; the same run again is none.
func TestRiddleCountsLooks(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	assert.Zero(t, b.looks)
	d.send(setValues{map[string]string{"rig.load.mass_kg": "160"}})
	assert.Zero(t, b.looks, "nothing was seen of a run that did not begin")
	d.press("right", "r", "right", "r")
	assert.Zero(t, b.looks, "it is the same run")
	d.send(setValues{map[string]string{"rig.load.mass_kg": "161"}})
	assert.Equal(t, 1, b.looks, "another one, although the repetition in its place was not played")
	d.send(setValues{map[string]string{"rig.load.mass_kg": "162"}})
	assert.Equal(t, 1, b.looks, "the one before was not played")
	d.press("right", "r", "right")
	assert.Equal(t, 1, b.looks)
	d.send(setValues{map[string]string{"rig.load.mass_kg": "161"}})
	assert.Equal(t, 2, b.looks)
	d.press("right")
	d.send(setValues{map[string]string{"rig.load.mass_kg": "150"}})
	assert.Equal(t, 3, b.looks)
	assert.Equal(t, 150.0, d.bench.Case().Rig.Load.MassKG)
	assert.Len(t, d.bench.runs.list[0].PlayedScenario().Faults, 1, "the fault is still in it")
	d.press("u", "U", "right", "e")
	assert.Equal(t, 3, b.looks, "to look at what was run costs nothing")
	assert.Equal(t, "nominal, 1 point", b.nominalHint())
	d.press("o", "o", "o")
	assert.Equal(t, 4, b.looks, "the nominal run is another one, and is there from then on")
	d.press("y", "enter", "y", "down", "enter")
	assert.Equal(t, 4, b.looks, "as run B it is the same run")
	d.send(setValues{map[string]string{"rig.load.mass_kg": "-5"}})
	d.says("the run cannot be built with these values", true)
	assert.Equal(t, 4, b.looks)
}

// The nominal run is one look, whichever way it is shown first.
func TestNominalRunIsOneLook(t *testing.T) {
	t.Parallel()
	for name, keys := range map[string][]string{"Behind": {"o", "y", "enter"}, "RunB": {"y", "enter", "o"}, "First": {"o", "j", "j"}} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			d, b := drawnRiddle(t, 13)
			d.press("end")
			d.press(keys...)
			assert.Equal(t, 1, b.looks)
			require.NotNil(t, d.bench.other)
			assert.NotEmpty(t, d.bench.nominal.samples)
			assert.Equal(t, "nominal run", b.nominalHint())
		})
	}
}

// wrongData is a riddle of data that are wrong in the sequence's parameters or in the judge's, and are no fault of a run.
func wrongData(t *testing.T) *training.Riddle {
	t.Helper()
	for seed := uint64(1); seed < 20; seed++ {
		r, err := training.Draw(t.Context(), loadCase(t, "healthy-down-and-up"), training.Data, seed)
		require.NoError(t, err)
		if len(r.Data) > 0 {
			return r
		}
	}
	require.Fail(t, "none of the seeds draws wrong data")
	return nil
}

// Wrong data are in the riddle's run and its repetitions, neither in the values panel nor in the nominal run, nor in
// the next riddle; a scenario that is kept after the answer has them.
func TestRiddleOfWrongData(t *testing.T) {
	t.Parallel()
	r := wrongData(t)
	d, b := deskWithRiddle(t, 120, 40)
	d.post(keyOf("enter"))
	d.pending = nil
	d.send(drawn{of: b, riddle: r})
	require.Equal(t, riddleLooks, b.part)
	result := func() *sim.Result {
		d.press("end")
		require.True(t, d.bench.player.Shown().Over)
		return d.bench.player.Shown().Result
	}
	first := result()
	assert.Same(t, r.Nominal, d.bench.nominalCase())
	d.press("v")
	panel, ok := d.top().(*valuesScreen)
	require.True(t, ok)
	present := presentValues(panel.c)
	for key, text := range r.Data {
		require.Contains(t, present, key)
		assert.NotEqual(t, text, present[key], key)
		assert.NotContains(t, d.bench.Case().Scenario.Set, key)
	}
	d.press("esc", "r")
	again := result()
	assert.Equal(t, [3]any{first.End, first.Verdict, first.DurationS}, [3]any{again.End, again.Verdict, again.DurationS}, "they are in it again")
	d.press("esc", "y")
	require.Equal(t, riddleReveals, b.part)
	answer := revealed(d, b) // once, as it scrolls to the end
	for key := range r.Data {
		assert.Contains(t, answer, key)
	}
	d.press("esc")
	for key, text := range r.Data {
		want := fmt.Sprintf("%s = %s, in place of %s", key, text, present[key])
		assert.Contains(t, d.bench.scene().WrongData, want)
		assert.Regexp(t, "wrong.data +.?"+regexp.QuoteMeta(key), text200(d), "among the faults")
	}
	kept, ok := d.bench.newKeep().(*keepScreen)
	require.True(t, ok)
	for key, text := range r.Data {
		assert.Equal(t, text, kept.played.Set[key])
	}
	d.press("b")
	next, ok := d.top().(*riddleScreen)
	require.True(t, ok)
	assert.Equal(t, r.Nominal.Rig, next.c.Rig)
}

// What the judge was given wrongly does not stand beside what it does, until the answer.
func TestDataOfTheJudgeAreThoseOfTheDocuments(t *testing.T) {
	t.Parallel()
	nominal := loadCase(t, "healthy-down-and-up").Nominal()
	dwell, err := catalogue.Parse("dwell-too-short=0.43")
	require.NoError(t, err)
	short, err := catalogue.WithFaults(nominal, dwell)
	require.NoError(t, err)
	d, b := deskWithRiddle(t, 120, 40)
	d.post(keyOf("enter"))
	d.pending = nil
	r := &training.Riddle{Level: training.Data, Truth: training.Hypothesis{dwell}, Case: short, Nominal: nominal}
	d.send(drawn{of: b, riddle: r})
	d.press("end")
	require.Equal(t, "pass", d.bench.player.Shown().Result.End)
	for _, size := range goldenSizes {
		d.bench.Update(tea.WindowSizeMsg{Width: size[0], Height: size[1]})
		assert.Regexp(t, `\d\.\d\d.of.1\.00.s`, text(d.bench, size[0], size[1]), "%v", size)
	}
	d.press("esc", "y", "esc")
	assert.Regexp(t, `\d\.\d\d.of.0\.43.s`, text(d.bench, 120, 40))
}

// Riddles with the seeds of the bench do not repeat a fault.
func TestRiddlesDiffer(t *testing.T) {
	t.Parallel()
	d, b := deskWithRiddle(t, 80, 24)
	seen := map[string]bool{}
	for range 3 {
		d.post(keyOf("enter"))
		d.drain()
		require.Equal(t, riddleLooks, b.part, b.wrong)
		name := b.riddle.Truth.Name()
		assert.False(t, seen[name], name)
		seen[name] = true
		d.press("esc", "y", "esc", "b")
		b = d.top().(*riddleScreen)
	}
	assert.Len(t, d.bench.riddlesBefore[training.One], 3)
}

// answerOf is what a riddle says, without the keys below.
func (d *desk) answerOf(b *riddleScreen) string {
	lines := strings.Split(d.textOf(b), "\n")
	return strings.Join(lines[:len(lines)-1], "\n")
}

// An answer that was closed is opened again beside the next riddle, with the same content.
func TestAnswerIsOpenedAgain(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	d.press("enter")
	choose(d, b, wrongCause(t, b.riddle))
	choose(d, b, b.riddle.Truth.Remedy())
	require.Equal(t, riddleReveals, b.part)
	answer := d.answerOf(b)
	d.press("down", "down", "esc")
	b.last = &riddleScreen{}
	for range 2 {
		d.press("b")
		next, ok := d.top().(*riddleScreen)
		require.True(t, ok)
		require.Nil(t, b.last, "one answer is kept with its runs, not all of a session")
		require.NotSame(t, b, next)
		d.press("tab")
		require.Same(t, b, d.top())
		assert.Equal(t, answer, d.answerOf(b))
		assert.Contains(t, d.textOf(b), "next riddle")
		d.press("1")
		assert.Equal(t, riddleShows, b.part, "a wrong cause is run from it")
		d.press("enter")
		require.Same(t, b, d.top())
		d.press("esc")
		require.Same(t, next, d.top(), "the next riddle goes on")
		require.Len(t, d.stack, 2)
		d.press("tab", "enter")
		require.Same(t, next, d.top())
		d.press("esc")
		require.Len(t, d.stack, 1)
	}
}

// What was wrong stands beside the nominal value.
func TestAnswerShowsNominalValues(t *testing.T) {
	t.Parallel()
	nominal := loadCase(t, "healthy-down-and-up").Nominal()
	of := func(fault string) *training.Riddle {
		f, err := catalogue.Parse(fault)
		require.NoError(t, err)
		c, err := catalogue.WithFaults(nominal, f)
		require.NoError(t, err)
		return &training.Riddle{Truth: training.Hypothesis{f}, Case: c, Nominal: nominal}
	}
	assert.Equal(t, "brake.condition = 0.35 (nominal 1)", setText(of("lining-worn=0.35")))
	assert.Equal(t, "link.down = true", setText(of("link-down")), "a signal has no value of its own")
	r := &training.Riddle{Case: nominal, Nominal: nominal, Data: map[string]string{"judge.dwell": "43ms", "sequence.test_position_mm": "200"}}
	assert.Equal(t, "judge.dwell = 43ms (nominal 1s), sequence.test_position_mm = 200 (nominal 420)", setText(r))
}

// choose goes to an answer by its name and takes it.
func choose(d *desk, b *riddleScreen, name string) {
	d.t.Helper()
	list, at := b.choices()
	want := slices.IndexFunc(list, func(c training.Choice) bool { return c.Name == name })
	require.GreaterOrEqual(d.t, want, 0)
	for range list {
		d.press("up")
	}
	for range want {
		d.press("down")
	}
	require.Equal(d.t, want, *at)
	assert.Contains(d.t, d.textOf(b), "› "+name)
	d.press("enter")
}

// wrongCause is a wrong answer.
func wrongCause(t *testing.T, r *training.Riddle) string {
	t.Helper()
	i := slices.IndexFunc(r.Causes, func(c training.Choice) bool { return c.Name != r.Truth.Name() })
	require.GreaterOrEqual(t, i, 0)
	return r.Causes[i].Name
}

func TestRiddleAnswers(t *testing.T) {
	t.Parallel()
	for _, c := range []struct {
		name  string
		cause func(*testing.T, *training.Riddle) string
		looks int
		score string
	}{
		{"Right", func(_ *testing.T, r *training.Riddle) string { return r.Truth.Name() }, 0, "10 of 10"},
		{"RightAfterManyLooks", func(_ *testing.T, r *training.Riddle) string { return r.Truth.Name() }, 5, "8 of 10"},
		{"Wrong", wrongCause, 0, ""},
	} {
		t.Run(c.name, func(t *testing.T) {
			d, b := drawnRiddle(t, 13)
			changesLoad(d, c.looks)
			d.press("enter")
			assert.Contains(t, d.textOf(b), "what is the cause?")
			require.Len(t, b.riddle.Causes, 6)
			for _, one := range b.riddle.Causes {
				assert.Contains(t, d.textOf(b), one.Name)
			}
			choose(d, b, c.cause(t, b.riddle))
			assert.Contains(t, d.textOf(b), "what is the remedy for "+c.cause(t, b.riddle)+"?")
			assert.NotNil(t, d.bench.mask, "the mask is on until the answer is whole")
			choose(d, b, b.riddle.Truth.Remedy())
			require.Equal(t, riddleReveals, b.part)
			want := c.score
			if want == "" { // as the cause that was named is of the group, or not
				want = fmt.Sprintf("%d of 10", b.riddle.Score(c.cause(t, b.riddle), b.riddle.Truth.Remedy(), 0).Total)
				assert.NotEqual(t, "10 of 10", want)
			}
			assert.Contains(t, revealed(d, b), want)
		})
	}
}

// revealed is all that the answer says, read to its end.
func revealed(d *desk, b *riddleScreen) string {
	d.t.Helper()
	var all []string
	for last := -1; last != b.scroll; {
		last = b.scroll
		all = append(all, joined(d.textOf(b)))
		d.press("ctrl+down")
	}
	return strings.Join(all, " ")
}

// The answer tells what it was, when, the clues, and what a simulation is worth.
func TestRiddleReveals(t *testing.T) {
	t.Parallel()
	inStates := 0
	for seed := uint64(13); inStates < 2; seed++ {
		require.Less(t, seed, uint64(30), "most faults begin in a state")
		d, b := drawnRiddle(t, seed)
		d.press("enter", "enter", "enter")
		require.Equal(t, riddleReveals, b.part)
		got := revealed(d, b)
		r := b.riddle
		assert.Contains(t, got, r.Truth.Name())
		if r.Truth[0].When.State == "" { // what wears is there from the start
			continue
		}
		inStates++
		assert.Contains(t, got, r.Truth[0].When.State+" was entered", "the moment")
		assert.Contains(t, got, setText(r))
		assert.Contains(t, got, "the clues")
		assert.Contains(t, got, r.Visible.Signal)
		for _, word := range strings.Fields(caution.Whole) {
			assert.Contains(t, got, word)
		}
		assert.Nil(t, d.bench.mask)
		assert.True(t, d.bench.scene().Truth)
		d.press("enter")
		require.Len(t, d.stack, 1)
		d.press("end", "tab", "tab")
		assert.Contains(t, d.text(), setText(r)[:20], "the faults are shown again")
		d.press("f")
		assert.IsType(t, &injectScreen{}, d.top())
	}
}

// The level is chosen with the arrows, and goes round.
func TestRiddleLevel(t *testing.T) {
	t.Parallel()
	d, b := deskWithRiddle(t, 80, 24)
	levels := training.Levels()
	for i := range levels {
		assert.Contains(t, d.textOf(b), "› "+string(levels[i].Level))
		d.press("down")
	}
	assert.Contains(t, d.textOf(b), "› "+string(levels[0].Level))
	d.press("up", "up", "4", "2")
	d.post(keyOf("enter"))
	d.drain()
	require.Equal(t, riddleLooks, b.part, b.wrong)
	assert.Equal(t, training.Two, b.riddle.Level)
	assert.EqualValues(t, 42, b.riddle.Seed, "what is typed replaces the seed that was proposed")
	assert.Contains(t, d.text(), "riddle 42")
	masked(t, d, b.riddle)
	d.press("enter", "enter", "enter")
	got := revealed(d, b)
	for _, f := range b.riddle.Truth {
		assert.Contains(t, got, f.Entry.Name)
	}
	assert.Contains(t, got, b.riddle.Truth[0].Entry.Name+" alone", "what each fault adds")
}

// Seeds differ each time.
func TestFreshSeeds(t *testing.T) {
	seen := map[string]bool{}
	for range 10 {
		seen[freshSeed()] = true
	}
	assert.Greater(t, len(seen), 5)
}

// Each wrong cause has its reason, and a key that runs it; from there the answer comes back.
func TestWrongCausesAreShown(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	d.press("end", "enter")
	named := wrongCause(t, b.riddle)
	choose(d, b, named)
	d.press("enter")
	require.Equal(t, riddleReveals, b.part)
	got := revealed(d, b)
	assert.Contains(t, got, "1 "+named+", your answer")
	for i, c := range b.wrongCauses() {
		assert.Contains(t, got, fmt.Sprintf("%d %s", i+1, c.Name))
		assert.Contains(t, got, strings.Join(strings.Fields(c.Why), " "))
	}
	d.press("9")
	require.Equal(t, riddleReveals, b.part, "there is no such cause")
	d.press("2")
	require.Equal(t, riddleShows, b.part)
	assert.Equal(t, Rect{}, b.Place(120, 40))
	assert.Same(t, b.wrongCauses()[1].Case, d.bench.Case())
	require.Len(t, d.bench.runs.list, 2, "the run of the riddle is behind it")
	assert.Equal(t, player.Playing, d.bench.player.State())
	d.press(" ")
	assert.NotEqual(t, player.Playing, d.bench.player.State(), "keys are those of the bench")
	d.press("enter")
	require.Equal(t, riddleReveals, b.part)
	d.press("1", "esc", "enter")
	assert.Len(t, d.stack, 1)
}

// The answer is kept where the bench says, with the name of the player, and the page says so; or why not.
func TestAnswersAreKept(t *testing.T) {
	t.Parallel()
	for _, wrong := range []error{nil, assert.AnError} {
		var lines []string
		d := newDesk(t, "healthy-down-and-up")
		d.bench.Answers = &AnswerLog{Player: "Ada", File: "class.jsonl", Append: func(file string, line []byte) error {
			assert.Equal(t, "class.jsonl", file)
			lines = append(lines, string(line))
			return wrong
		}}
		d.press("b", "1", "3")
		b := d.top().(*riddleScreen)
		d.post(keyOf("enter"))
		d.pending = nil
		d.send(drawn{of: b, riddle: riddleOf(t, 13)})
		d.press("enter", "enter", "enter")
		require.Equal(t, riddleReveals, b.part)
		require.Len(t, lines, 1)
		got, err := training.ParseAnswer([]byte(lines[0]))
		require.NoError(t, err)
		assert.Equal(t, b.riddle.Answer("Ada", b.riddle.Causes[0].Name, b.riddle.Remedies[0].Name, 0), got)
		want := "The result is in class.jsonl; holdbench score reads it."
		if wrong != nil {
			want = "✗ " + wrong.Error()
		}
		assert.Contains(t, revealed(d, b), want)
	}
}

func TestRiddleLooksAgain(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	d.press("enter", "esc")
	assert.Equal(t, riddleLooks, b.part)
	d.press("enter", "enter")
	assert.Equal(t, riddleRemedy, b.part)
	d.press("esc", "esc", "right")
	assert.Equal(t, riddleLooks, b.part)
	assert.NotNil(t, d.bench.mask)
}

// A cause that was chosen is named and can be taken back. The list begins anew where it was left, or the keys by which
// one found the cause the first time would choose another one.
func TestChosenCauseIsTakenBack(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	for _, back := range []string{"esc", "left", "backspace"} {
		d.press("enter", "down", "down", "enter")
		require.Equal(t, riddleRemedy, b.part)
		chosen := b.riddle.Causes[2].Name
		assert.Contains(t, d.textOf(b), "what is the remedy for "+chosen+"?", back)
		d.press("down", back)
		require.Equal(t, riddleCause, b.part, back)
		assert.Contains(t, d.textOf(b), "› "+chosen, back)
		d.press("up", "enter")
		assert.Contains(t, d.textOf(b), "what is the remedy for "+b.riddle.Causes[1].Name+"?", back)
		assert.Zero(t, b.remedy, back)
		d.press(back, back)
		require.Equal(t, riddleLooks, b.part, back)
	}
	assert.Nil(t, b.score)
}

func TestRiddleIsAborted(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	d.press("esc")
	require.IsType(t, &askScreen{}, d.top())
	d.press("n")
	assert.Equal(t, riddleLooks, b.part)
	d.press("esc", "y")
	require.Equal(t, riddleReveals, b.part)
	got := revealed(d, b)
	assert.Contains(t, got, b.riddle.Truth.Name())
	assert.NotContains(t, got, "of 10 points", "it scores nothing")
	assert.Nil(t, d.bench.mask)
	d.press("esc")
	assert.Len(t, d.stack, 1)
}

// The run that a riddle replaced is still stored if anything had happened in it, and the
// riddle's own goes on with the frames.
func TestRiddleBesideTheRun(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.press("right", "b")
	d.send(keyOf("enter"))
	require.Len(t, d.bench.runs.list, 1)
	require.Len(t, d.bench.runs.aside, 1)
	d, _ = drawnRiddle(t, 13)
	require.Len(t, d.bench.runs.list, 1)
	d.frame(0)
	d.playFor(time.Second / 3)
	assert.Greater(t, d.bench.player.Shown().Ticks, int64(1000))
	assert.False(t, d.bench.Changed(), "a riddle is nothing that could be lost")
}

// Runs from before a riddle are out of reach until its answer: neither a key, nor the curve behind the run, nor a
// comparison shows a run without the fault that does not count as a look. They are there again with the answer.
func TestRiddleSetsEarlierRunsAside(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.press("end")
	healthy := d.bench.runs.now()
	d.press("b", "1", "3")
	b := d.top().(*riddleScreen)
	d.post(keyOf("enter"))
	d.pending = nil
	d.send(drawn{of: b, riddle: riddleOf(t, 13)})
	require.Equal(t, riddleLooks, b.part)
	d.press("end")
	riddle := d.bench.runs.now()
	assert.Empty(t, d.bench.runs.earlier, "no curve lies behind it")
	d.press("u", "U")
	assert.Same(t, riddle, d.bench.runs.now())
	assert.Empty(t, d.bench.earlierRuns(), "none to be compared with")
	assert.Zero(t, b.looks)
	d.press("esc", "y")
	require.Equal(t, riddleReveals, b.part)
	d.press("esc")
	require.Equal(t, []*history.Run{riddle, healthy}, d.bench.runs.list)
	d.press("u")
	assert.Same(t, healthy, d.bench.runs.now())
}

// A run B that was asked for ahead of a riddle does not come to it.
func TestRunOfBeforeIsNotComparedWithARiddle(t *testing.T) {
	t.Parallel()
	d := newDesk(t, "healthy-down-and-up")
	d.press("end")
	late := d.bench.compareWith(compareWith{kind: nominalOther, name: "run without faults"})
	d.press("b", "1", "3")
	b := d.top().(*riddleScreen)
	d.post(keyOf("enter"))
	d.pending = nil
	d.send(drawn{of: b, riddle: riddleOf(t, 13)})
	d.send(late())
	assert.Nil(t, d.bench.other)
}

// To abort is an answer without points: otherwise the riddle could be drawn again with the truth known.
func TestAbortIsKept(t *testing.T) {
	t.Parallel()
	var lines []string
	d := newDesk(t, "healthy-down-and-up")
	d.bench.Answers = &AnswerLog{Player: "Ada", File: "class.jsonl", Append: func(_ string, line []byte) error {
		lines = append(lines, string(line))
		return nil
	}}
	again := func() *riddleScreen {
		d.press("b", "1", "3")
		b := d.top().(*riddleScreen)
		d.post(keyOf("enter"))
		d.pending = nil
		d.send(drawn{of: b, riddle: riddleOf(t, 13)})
		return b
	}
	b := again()
	d.press("esc")
	assert.Contains(t, joined(d.textOf(d.top())), "0 points are kept")
	d.press("y")
	assert.Contains(t, revealed(d, b), "The result is in class.jsonl")
	d.press("esc")
	b = again()
	d.press("enter")
	choose(d, b, b.riddle.Truth.Name())
	choose(d, b, b.riddle.Truth.Remedy())
	require.Len(t, lines, 2)
	var list []training.Answer
	for _, line := range lines {
		a, err := training.ParseAnswer([]byte(line))
		require.NoError(t, err, line)
		list = append(list, a)
	}
	got := training.NewTally(list)
	assert.Equal(t, []any{1, 1, 1, 0.0}, []any{got.Answers, got.Repeated, got.Aborted, got.Points})
}

// Nobody follows the truth of a riddle before the answer, unless the bench is set to serve it; then no result is kept.
func TestTruthOfARiddleIsNotFollowed(t *testing.T) {
	t.Parallel()
	for _, serves := range []bool{false, true} {
		d := newDesk(t, "healthy-down-and-up")
		kept := 0
		d.bench.ServesTruth = serves
		d.bench.Answers = &AnswerLog{File: "class.jsonl", Append: func(string, []byte) error { kept++; return nil }}
		followed := func() string {
			p := page.New(200, 60, false)
			d.bench.Snapshot()(p.Area(), true, false)
			return p.Text()
		}
		d.press("end")
		assert.Contains(t, followed(), "•")
		d.press("b", "1", "3")
		b := d.top().(*riddleScreen)
		d.post(keyOf("enter"))
		d.pending = nil
		d.send(drawn{of: b, riddle: riddleOf(t, 13)})
		d.press("end")
		assert.Equal(t, serves, strings.Contains(followed(), "•"))
		for target, value := range b.riddle.Case.Scenario.Faults[0].Set {
			assert.Equal(t, serves, strings.Contains(followed(), target+" = "+value))
		}
		assert.Equal(t, !serves, d.bench.TruthLocked())
		d.press("enter", "enter", "enter")
		got := revealed(d, b)
		assert.Equal(t, serves, strings.Contains(got, "No result is kept"))
		assert.Equal(t, serves, kept == 0)
		assert.Contains(t, followed(), "•", "with the answer")
		assert.False(t, d.bench.TruthLocked())
	}
}

func text200(d *desk) string {
	d.bench.Update(tea.WindowSizeMsg{Width: 200, Height: 60})
	return text(d.bench, 200, 60)
}

// The points are those of all, a wrong remedy is named with what it is for, and pages scroll the answer.
func TestPointsOfAnAnswer(t *testing.T) {
	t.Parallel()
	d, b := drawnRiddle(t, 13)
	d.send(tea.WindowSizeMsg{Width: 80, Height: 24})
	assert.Contains(t, d.bench.Name(), "riddle-one-13-")
	for _, hint := range b.Keys() {
		assert.NotEmpty(t, hint.Help().Desc)
	}
	d.press("enter")
	choose(d, b, b.riddle.Truth.Name())
	i := slices.IndexFunc(b.riddle.Remedies, func(c training.Choice) bool { return c.Name != b.riddle.Truth.Remedy() })
	wrong := b.riddle.Remedies[i].Name
	choose(d, b, wrong)
	before := b.scroll
	d.press("pgdown")
	assert.Greater(t, b.scroll, before+5)
	d.press("pgup")
	assert.Zero(t, b.scroll)
	got := revealed(d, b)
	assert.Contains(t, got, "cause, 6 of 6 points. Right: ")
	assert.Contains(t, got, "remedy, 0 of 4 points. Wrong: "+wrong+" is for "+causesOf(wrong)[0])
	assert.Contains(t, got, "Right is "+b.riddle.Truth.Remedy()+": ")
}

func TestSpanText(t *testing.T) {
	assert.Equal(t, "70 ms", spanText(70*time.Millisecond))
	assert.Equal(t, "1.02 s", spanText(1020*time.Millisecond))
}
