package view_test

import (
	"fmt"
	"math"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sequence"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/history"
	"holdbench/sim/safety"
)

// rows draws a pane as text, one string a row.
func rows(pane func(page.Area, *view.Scene), w, h int, ascii bool, s *view.Scene) []string {
	p := page.New(w, h, ascii)
	pane(p.Area(), s)
	return strings.Split(p.Text(), "\n")
}

func text(pane func(page.Area, *view.Scene), w, h int, s *view.Scene) string {
	return strings.Join(rows(pane, w, h, false, s), "\n")
}

// Each curve carries its letter, so that it is found without colour, and the smallest screen still
// says what all of them are.
func TestEachCurveIsNamed(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "lining-worn-thin", never)
	goBack(t, s, r)
	s.Notice = ""
	for _, ascii := range []bool{false, true} {
		list := rows(view.Bench, 80, 23, ascii, s)
		legend, plot := list[14], withoutLabels(strings.Join(list[15:20], "\n"))
		for _, name := range []string{"m mot", "b brk", "c cap", "p pos", "d dem", "e ear", "n nom"} {
			assert.Contains(t, legend, name)
			assert.Contains(t, plot, name[:1], "at its curve")
		}
	}
}

// withoutLabels takes the names left of the curves away.
func withoutLabels(plot string) string {
	list := strings.Split(plot, "\n")
	for i, row := range list {
		list[i] = string([]rune(row)[min(8, len([]rune(row))):])
	}
	return strings.Join(list, "\n")
}

// A hidden truth has no letters either.
func TestHiddenCurvesHaveNoLetter(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "lining-worn-thin", never)
	hideTruth(t, s, r)
	plot := withoutLabels(text(view.Curves, 80, 9, s))
	plot, _, _ = strings.Cut(plot, "▸") // the names of states have letters
	assert.Contains(t, plot, "m")
	for _, letter := range []string{"b", "c", "l"} {
		assert.NotContains(t, plot, letter)
	}
}

// Without power nothing looks alive: no condition, no time of a check, no proof.
func TestNoPower(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "healthy-down-and-up", entered("verdict_down", 0.6))
	losePower(0.2)(t, s, r)
	for w := 12; w <= 200; w += 4 {
		assert.True(t, strings.HasPrefix(rows(view.Header, w, 2, false, s)[1], "✗ no power"), "at a width of %d", w)
	}
	assert.NotContains(t, rows(view.Header, 200, 2, false, s)[1], "power_loss", "once is enough")
	for _, w := range []int{26, 34, 60} {
		transitions := text(view.Transitions, w, 8, s)
		assert.Contains(t, transitions, "none")
		assert.Contains(t, transitions, "no power")
		for _, alive := range []string{"✓", "◷", "⇒", "judge_busy"} {
			assert.NotContains(t, transitions, alive)
		}
		judge := text(view.Judge, w, 6, s)
		assert.Contains(t, judge, "✗ no power")
		for _, alive := range []string{"dwell", "deadline", " of ", " h ", "left"} {
			assert.NotContains(t, judge, alive)
		}
		assert.Contains(t, text(view.Path, w, 8, s), "no power")
	}
	assert.Regexp(t, `demand +0\.00`, text(view.Torque, 44, 8, s))
	assert.InDelta(t, 0, s.View.In.TorqueNM, 0.05, "the current has died away")
}

// The verdict of a run is shown from its end on, and not before.
func TestVerdictComesWithTheEnd(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "lining-worn-thin", never)
	var endS float64
	for _, e := range s.Events {
		if e.Kind == sim.KindEnd {
			endS = e.TS
		}
	}
	require.Positive(t, endS)
	s.AtHead = false
	for _, test := range []struct {
		at    float64
		shown bool
	}{{0, false}, {endS - 0.01, false}, {endS + 0.01, true}} {
		s.View = r.At(int64(test.at / r.Case().Rig.Clock.Tick.Seconds())).View()
		header := text(view.Header, 120, 2, s)
		assert.Equal(t, test.shown, strings.Contains(header, "✗ fail (moved)"), "at %v s", test.at)
		assert.Equal(t, test.shown, strings.Contains(header, string(s.Result.Class)), "at %v s", test.at)
	}
	s.AtHead, s.View = true, r.View()
	assert.Contains(t, text(view.Header, 120, 2, s), "✗ fail (moved)")
}

// With the truth hidden, nothing on the screen tells of the fault: neither its count nor the scenario's name, nor class
// and obligations.
func TestHiddenTruthHidesFaults(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "transmission-severed", never)
	require.NotEmpty(t, s.View.Obligations)
	hideTruth(t, s, r)
	for _, z := range sizes {
		s.Tab = view.ObligationsTab
		screen := text(view.Bench, z.w, z.h, s)
		assert.NotContains(t, screen, "▲")
		assert.NotContains(t, screen, s.Case.Scenario.Scenario)
		assert.NotContains(t, screen, s.Case.Scenario.Title)
		assert.NotContains(t, screen, string(s.Result.Class))
		assert.NotContains(t, screen, "broken")
		assert.NotContains(t, screen, "kept so far")
		assert.NotContains(t, screen, "obligations ✗")
	}
}

// Times over a hundred and over a thousand seconds keep their decimals and a blank before them; while the run plays
// the header alone has those that nobody can follow.
func TestLongTimes(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", entered("ready", 0.1))
	for _, test := range []struct {
		at           float64
		want, played string
	}{
		{31.1, " 31.100 s", " 31.1 s"}, {631.104, " 631.104 s", " 631.1 s"},
		{1199.36, " 1199.360 s", " 1199.4 s"}, {28800, " 28800.000 s", " 28800.0 s"},
	} {
		s.View.TS, s.View.InStateS, s.HeadS = test.at, test.at, test.at
		for playing, want := range map[bool]string{false: test.want, true: test.played} {
			s.Playing = playing
			assert.Regexp(t, "ready +"+strings.TrimLeft(test.want, " "), rows(view.Header, 100, 2, false, s)[1])
			assert.True(t, strings.HasSuffix(rows(view.Timeline, 80, 1, false, s)[0], want))
			path := rows(view.Path, 24, 8, false, s)[1]
			assert.True(t, strings.HasSuffix(path, want), path)
		}
	}
}

// What stands at the right of a row of the sequence does not run into its name.
func TestEndOfASequence(t *testing.T) {
	t.Parallel()
	s, r := scene(t, "emergency-stop-then-oil", never)
	require.NotNil(t, s.Result)
	s.View = r.View()
	for w := 30; w < 60; w++ {
		for _, row := range rows(view.Path, w, 12, false, s) {
			if strings.Contains(row, "◉") && strings.Contains(row, "■") {
				assert.Regexp(t, `[a-z…] +■ [a-z]+ +[0-9.]+ s$`, row)
			}
		}
	}
}

// A verdict that the sequence has not received yet is shown beside the title and not over it.
func TestJudgeHasRoom(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", entered("ready", 0.1))
	j := &s.View.Judge
	for _, cause := range []string{"moved", "position-lost", "over-torque"} {
		for _, j.Stop = range []string{"", "SS1", "STO"} {
			j.Verdict, j.Received = safety.Verdict{Failed: true, Cause: cause}, safety.Verdict{Proof: true}
			list := rows(view.Judge, 26, 4, false, s)
			assert.Regexp(t, `^(received|rcvd) +✓ proof valid$`, list[1])
			if j.Stop == "" {
				assert.Contains(t, list[0], cause)
			} else {
				assert.Contains(t, list[0], j.Stop)
			}
			j.Received, j.Verdict = j.Verdict, j.Received
			assert.Regexp(t, `^(received|rcvd) +✗ .*`+cause+`$`, rows(view.Judge, 26, 4, false, s)[1])
		}
	}
}

// A notice has its row for itself.
func TestNoticeClearsItsRow(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", never)
	s.Notice = "kept"
	for _, z := range sizes {
		list := rows(view.Bench, z.w, z.h, false, s)
		assert.Equal(t, "kept", list[z.h-1])
	}
}

// Capacity and requirement are shown apart on every screen, also where the capacity is just too small.
func TestCapacityAgainstRequirement(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", entered("close_brake", 0.3))
	l := s.View
	for _, short := range []float64{0.09, 0.01, 0.5} {
		l.RequiredTestNM = 3.65
		l.StaticCapacityNM, l.Truth.CapacityNM = 3.65-short, 3.65-short
		for _, w := range []int{26, 44, 66} {
			for _, ascii := range []bool{false, true} {
				list := rows(view.Torque, w, 9, ascii, s)
				mark := map[bool]string{false: "┊", true: ";"}[ascii]
				assert.Equal(t, 2, strings.Count(list[4], mark), list[4])
				assert.Less(t, strings.Index(list[4], mark), strings.Index(list[4], "["), list[4])
				assert.Less(t, strings.Index(list[4], "]"), strings.LastIndex(list[4], mark), list[4])
			}
		}
		small := rows(view.Torque, 26, 5, false, s)[0]
		for _, figure := range []float64{3.65 - short, 3.65} {
			assert.Contains(t, small, trimmed(figure))
		}
		assert.Contains(t, rows(view.Torque, 44, 8, false, s)[0], "✗ capacity• "+trimmed(short)+" N·m short")
	}
	l.StaticCapacityNM, l.Truth.CapacityNM = 3.74, 3.74
	brake := rows(view.Torque, 26, 5, false, s)[4]
	assert.Less(t, strings.Index(brake, "["), strings.Index(brake, "┊"), "the requirement is inside")
	s.Truth = false
	assert.NotContains(t, text(view.Torque, 26, 5, s), "3.74")
}

// The figures of the torque pane agree with each other and with the truth, whatever has become of the brakes: what is
// short is the requirement less the capacity that counts of the brake that is named, and where another capacity stands
// beside it, that one does, too.
func TestCapacitiesAgree(t *testing.T) {
	t.Parallel()
	figure := `(-?\d+\.\d\d)`
	short := regexp.MustCompile(`✗ capacity ?([12]?)• ` + figure + ` N·m short`)
	legend := regexp.MustCompile(`\[ \] capacity ?([12]?) • +` + figure + `(?:  \( \) (?:closed|lasting) • +` + figure + `)?`)
	number := func(text string) float64 { v, _ := strconv.ParseFloat(text, 64); return v }
	panes, shorts := 0, 0
	for _, of := range []struct{ scenario, fault string }{
		{"healthy-down", "lining-creeps=200@press_down"}, {"healthy-down", "brake-output-stuck-on@press_down"}, {"healthy-down", "lining-worn=0.25@press_down"},
		{"healthy-down", "brake-closes-partly=0.2@press_down"}, {"healthy-down", "brake-disc-stuck=1.5"}, {"healthy-down", "hand-release-engaged=0.9@verdict_down"},
		{"second-brake-worn", ""}, {"second-brake-worn", "lining-creeps=200"},
	} {
		c := load()(t, of.scenario)
		if of.fault != "" {
			f, err := catalogue.Parse(of.fault)
			require.NoError(t, err)
			c, err = catalogue.WithFaults(c, f)
			require.NoError(t, err)
		}
		r := history.New(c)
		for more := true; more; {
			from := r.Ticks()
			r.Advance(math.MaxInt64, func(b *sim.Bench) bool { return b.Ticks() >= from+700 })
			more = !r.Done() && r.Ticks() > from
			s := newest(t, r)
			l := s.View
			static := map[string]float64{"": l.StaticCapacityNM, "1": l.StaticCapacityNM, "2": l.StaticCapacity2NM}
			now := map[string]float64{"": l.Truth.CapacityNM, "1": l.Truth.CapacityNM}
			if l.Brake2 != nil {
				now["2"] = l.Brake2.CapacityNM
			}
			shown := text(view.Torque, 60, 12, s)
			at := fmt.Sprintf("%s %s at %.3f s:\n%s", of.scenario, of.fault, l.TS, shown)
			panes++
			if found := short.FindStringSubmatch(shown); found != nil {
				shorts++
				assert.InDelta(t, l.RequiredTestNM-static[found[1]], number(found[2]), 0.0051, at)
				assert.Equal(t, l.Brake2 != nil, found[1] != "", at)
			}
			found := legend.FindStringSubmatch(shown)
			require.NotNil(t, found, at)
			assert.InDelta(t, now[found[1]], number(found[2]), 0.0051, at)
			if found[3] == "" {
				assert.InDelta(t, now[found[1]], static[found[1]], 0.0051, "one figure for both: %s", at)
				continue
			}
			assert.InDelta(t, static[found[1]], number(found[3]), 0.0051, at)
		}
	}
	assert.Greater(t, panes, 100)
	assert.Greater(t, shorts, 30)
}

func trimmed(v float64) string { return strconv.FormatFloat(v, 'f', 2, 64) }

// A scale whose ends are equal as written gets more decimals, or one label.
func TestLabelsOfAScaleDiffer(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "healthy-down", entered("ready", 0.1))
	for i := range s.Samples {
		s.Samples[i].PositionMM, s.Samples[i].LoadMM = 0, 0
	}
	for _, window := range []float64{s.View.Judge.WindowInc, 1e-3, 0} {
		s.View.Judge.WindowInc = window
		for h := 6; h < 20; h++ {
			seen := map[string]bool{}
			for _, row := range rows(view.Curves, 60, h, false, s)[:h-2] {
				label := strings.TrimSpace(strings.TrimSuffix(string([]rune(row)[:8]), "▏"))
				if label == "" || !strings.ContainsAny(label, "0123456789") {
					continue
				}
				require.False(t, seen[label], "%q twice at a height of %d", label, h)
				seen[label] = true
			}
		}
	}
}

// BenchmarkHour draws an hour of samples; without blocks each frame would pass over all of them.
func BenchmarkHour(b *testing.B) {
	s, _ := scene(b, "healthy-down", never)
	all := make([]history.Sample, 1_800_000)
	for i := range all {
		all[i] = s.Samples[i%len(s.Samples)]
		all[i].TS = float64(i) * 0.002
	}
	s.Samples, s.Blocks, s.HeadS = all, nil, 3600
	for i := 0; i+history.BlockSamples <= len(all); i += history.BlockSamples {
		s.Blocks = append(s.Blocks, history.Summary(all[i:i+history.BlockSamples]))
	}
	s.View.TS = math.Floor(s.HeadS)
	p := page.New(200, 59, false)
	b.ReportAllocs()
	for b.Loop() {
		view.Bench(p.Area(), s)
	}
}

// What the sequence keeps stands beside its state, as far as there is room, and the event of the
// state says what it has kept.
func TestKeptValues(t *testing.T) {
	t.Parallel()
	d := load()(t, "healthy-down-and-up").Sequence.Source.(sequence.Document).Clone()
	for i := range d.States {
		if d.States[i].Name == "close_brake" {
			d.States[i].Keep = sequence.Keeps{{Name: "held_nm", Value: "torque_nm"}}
			d.States[i].Go[0].When = "brake_closed and abs(torque_nm - held_nm) > load_tolerance_nm"
		}
	}
	c, _, err := load()(t, "healthy-down-and-up").WithSequence(d)
	require.NoError(t, err)
	r := history.New(c)
	r.Advance(math.MaxInt64, entered("close_brake", 0.1))
	s := newest(t, r)
	assert.Regexp(t, `close_brake +0\.1\d\d s  ◇ trigger  held_nm 2\.\d+ N·m  load_nm `, text(view.Header, 120, 2, s), "first what the state waits for")
	assert.NotContains(t, text(view.Header, 40, 2, s), "held_nm")
	whole := strings.Fields(rows(view.Header, 400, 2, false, s)[1])
	for w := 60; w < 200; w++ {
		assert.Subset(t, whole, strings.Fields(rows(view.Header, w, 2, false, s)[1]), "no part of a value at %d", w)
	}
	assert.Regexp(t, `settle → close_brake, held_nm = 2\.\d+ N·m`, text(view.EventList, 120, 20, s))
	outside, other, seen := *s, *s.Case, *s.View
	other.Sequence = other.Sequence.InPlace("")
	outside.Case, outside.View = &other, &seen
	assert.Contains(t, text(view.Header, 400, 2, &outside), "held_nm 2.", "of a controller outside that tells it")
	for _, k := range other.Sequence.Kept {
		k.SetInputNumber(&outside.View.In, 0)
	}
	header := text(view.Header, 400, 2, &outside)
	for _, k := range other.Sequence.Kept {
		assert.NotContains(t, header, k.Name, "of a controller outside that tells none")
	}
	earlier := r.At(100).View()
	s.View, s.AtHead = earlier, false
	assert.Contains(t, text(view.Header, 400, 2, s), "held_nm 0 N·m", "before the state, back in time")
}
