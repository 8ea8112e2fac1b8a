package scenarios_test

import (
	"fmt"
	"maps"
	"math"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
)

// inBraces is a figure that is filled from the run when it is shown.
var inBraces = regexp.MustCompile(`\{[^{}]*\}`)

// withoutFigures is a text with a few signs in place of each figure, as it is read.
func withoutFigures(text string) string { return inBraces.ReplaceAllString(text, "0.00") }

// measured is a number with a unit or with a decimal point.
var measured = regexp.MustCompile(`\d+\.\d+(?: (?:N·m|mm/s|mm|ms|s\b|A\b|degrees))?|\d+ ?(?:N·m|mm/s|mm|ms|min\b|minutes|s\b|h\b|kg|A\b|degrees?|°|%|m/s|m\b|scans|rpm|J\b|V\b)`)

// stated is a figure that a text has as it stands, as it is not a value of the moment of its stop, and the
// formula that gives it: at another stop of the lesson, or at a moment of another scenario.
type stated struct {
	lesson  string
	stop    int // from 1; 0 for what the scenario teaches and its remedy
	figure  string
	formula string
	at      int    // stop at which the formula holds, from 1; 0 for moment
	other   string // scenario of moment, empty for that of the lesson
	moment  sim.Moment
}

func after(state string, d time.Duration) sim.Moment { return sim.Moment{State: state, After: d} }

// creepDegPerS is the creep of the lining of lining-creeps-short-dwell under the load alone, by the law of its
// plant: the fourth power of the share of the capacity.
const creepDegPerS = "100 * share * share * share * share"

func statedFigures() []stated {
	share := "(sequence.load_torque_nm / rig.brake.static_nm)"
	creep := strings.ReplaceAll(creepDegPerS, "share", share)
	return []stated{
		{lesson: "lining-creeps-short-dwell", stop: 3, figure: "1 degree", formula: creep, at: 3},
		{lesson: "lining-creeps-short-dwell", stop: 3, figure: "3 minutes", formula: "rig.test.drop_limit_mm / (mm_per_deg * " + creep + ") / 60", at: 3},
		{lesson: "lining-creeps-short-dwell", stop: 3, figure: "3.2 degrees", formula: "abs(shaft_mm_s) / mm_per_deg", at: 2},
		{lesson: "lining-creeps-short-dwell", stop: 0, figure: "0.1 s", formula: "judge.dwell", at: 2},
		{lesson: "lining-worn-thin", stop: 1, figure: "0.5 N·m", formula: "abs(torque_motor_nm)", at: 2},
		{lesson: "oil-on-the-lining", stop: 1, figure: "2.25 N·m", formula: "static_capacity_nm", at: 2},
		{lesson: "oil-on-the-lining", stop: 2, figure: "1.9 N·m", formula: "capacity_nm", at: 3},
		{lesson: "oil-on-the-lining", stop: 2, figure: "23 mm/s", formula: "abs(shaft_mm_s)", at: 3},
		{lesson: "stop-in-stroke-down", stop: 1, figure: "3.15 N·m", formula: "static_capacity_nm", moment: after("close_brake", 100*time.Millisecond)},
		{lesson: "stop-in-stroke-down", stop: 2, figure: "0.9 N·m", formula: "abs(torque_motor_nm)", moment: after("on_brake_alone", 500*time.Millisecond)},
		{lesson: "stop-in-stroke-down", stop: 2, figure: "1.5", formula: "abs(torque_motor_nm)", moment: after("on_brake_alone", 20*time.Millisecond)},
		{lesson: "weak-brake-at-power-loss", stop: 2, figure: "20 ms", formula: "(t_s - 1.5) * 1000", at: 2},
		{lesson: "second-brake-hidden", stop: 1, figure: "31 N·m", formula: "static_capacity_2_nm", other: "severed-held-by-the-second-brake", moment: after("press_down", 0)},
		{lesson: "rms-for-amplitude", stop: 0, figure: "0.77 A", formula: "abs(sequence.required_down_a)", at: 1},
		{lesson: "rms-for-amplitude", stop: 0, figure: "29 %", formula: "(1 - abs(sequence.required_down_nm) / (required_torque_nm - sequence.load_torque_nm)) * 100", at: 1},
		{lesson: "healthy-down-and-up", stop: 0, figure: "1.1 N·m", formula: "abs(torque_motor_nm)", at: 3},
		{lesson: "healthy-down-and-up", stop: 0, figure: "7.6 N·m", formula: "torque_motor_nm", at: 5},
		{lesson: "healthy-down-and-up", stop: 0, figure: "3.9 N·m", formula: "torque_brake_nm", at: 3},
		{lesson: "healthy-down-and-up", stop: 0, figure: "4.7 N·m", formula: "-torque_brake_nm", at: 5},
		{lesson: "healthy-down-and-up", stop: 0, figure: "3.65 N·m", formula: "required_torque_nm", at: 3},
		{lesson: "emergency-stop-at-a-failed-verdict", stop: 0, figure: "3.15 N·m", formula: "static_capacity_nm", at: 1},
		{lesson: "emergency-stop-at-a-failed-verdict", stop: 0, figure: "2.8", formula: "sequence.load_torque_nm", at: 1},
		{lesson: "emergency-stop-at-a-failed-verdict", stop: 0, figure: "3.65", formula: "required_torque_nm", at: 1},
		{lesson: "current-reads-too-high", stop: 0, figure: "30 %", formula: "(rig.drive.current_gain - 1) * 100", at: 1},
		{lesson: "current-reads-too-high", stop: 0, figure: "3.06 N·m", formula: "torque_motor_nm - sequence.load_torque_nm", at: 2},
		{lesson: "current-reads-too-high", stop: 0, figure: "4.83 N·m", formula: "torque_nm - sequence.load_torque_nm", at: 2},
		{lesson: "current-reads-too-high", stop: 0, figure: "3 %", formula: "(1 - static_capacity_nm / required_torque_nm) * 100", at: 1},
		{lesson: "magnitude-only", stop: 0, figure: "1.3", formula: "rig.test.factor", at: 1},
		{lesson: "healthy-arm", stop: 1, figure: "60 degrees", formula: "60", at: 1}, // its cosine is a half
		{lesson: "coupling-switch-wrong", stop: 2, figure: "4.4 N·m", formula: "torque_motor_nm", other: "healthy-coupled-pair", moment: after("travel", 150*time.Millisecond)},
		{lesson: "transmission-severed", stop: 3, figure: "1.1 N·m", formula: "abs(torque_brake_nm)", moment: after("verdict_down", 500*time.Millisecond)},
		{lesson: "transmission-severed", stop: 3, figure: "3.9", formula: "torque_brake_nm", other: "drive-trips-while-pressing", moment: after("verdict_down", 200*time.Millisecond)},
	}
}

// textsOf are the texts of a stop that state what is so: a wrong choice does not.
func textsOf(s *sim.Stop) string {
	texts := []string{s.Say, s.Ask, s.Because}
	if s.Answer > 0 {
		texts = append(texts, s.Choices[s.Answer-1])
	}
	return strings.Join(texts, "\n")
}

// Every figure with a unit is filled from the run, or is stated above with the formula that gives it.
func TestFiguresOfLessonsAreThoseOfTheRun(t *testing.T) {
	t.Parallel()
	known := map[string]map[string]bool{} // figures by lesson and stop
	for _, s := range statedFigures() {
		place := fmt.Sprintf("%s, stop %d", s.lesson, s.stop)
		if known[place] == nil {
			known[place] = map[string]bool{}
		}
		known[place][s.figure] = true
	}
	for name, c := range lessons(t) {
		_, name, _ = strings.Cut(name, "/")
		check := func(stop int, text string) {
			place := fmt.Sprintf("%s, stop %d", name, stop)
			found := measured.FindAllString(inBraces.ReplaceAllString(text, ""), -1)
			for _, figure := range found {
				assert.True(t, known[place][figure], "%s: %q is neither in braces nor stated with a formula", place, figure)
			}
			for _, figure := range slices.Sorted(maps.Keys(known[place])) {
				assert.Contains(t, found, figure, "%s: stated, and not in the text", place)
			}
			delete(known, place)
		}
		check(0, c.Scenario.Title+"\n"+c.Scenario.Teaches+"\n"+c.Scenario.Remedy)
		for i := range c.Scenario.Lesson {
			check(i+1, textsOf(&c.Scenario.Lesson[i]))
		}
	}
	assert.Empty(t, known, "stated for a stop that is not there")
}

// Figures that stand in a text are what their formulas give, rounded as in the text.
func TestStatedFigures(t *testing.T) {
	t.Parallel()
	for _, s := range statedFigures() {
		got := s.value(t)
		number, _, _ := strings.Cut(s.figure, " ")
		number = regexp.MustCompile(`[\d.]+`).FindString(number)
		want, err := strconv.ParseFloat(number, 64)
		require.NoError(t, err)
		_, fraction, _ := strings.Cut(number, ".")
		half := 0.5 * math.Pow(10, -float64(len(fraction)))
		assert.InDelta(t, want, got, half*1.0001, "%s, stop %d: %s", s.lesson, s.stop, s.figure)
	}
}

// value runs to the moment of a stated figure and works out its formula.
func (s *stated) value(t *testing.T) float64 {
	t.Helper()
	name := s.other
	if name == "" {
		name = s.lesson
	}
	c, _, err := scenarios.LoadCase(name, scenarios.Overrides{})
	require.NoError(t, err)
	own := c.Scenario
	if s.at == 0 {
		own.Lesson = sim.Lesson{{When: &s.moment}}
	} else {
		own.Lesson = slices.Clone(own.Lesson[:s.at])
	}
	last := len(own.Lesson) - 1
	own.Lesson[last].Say, own.Lesson[last].Number = "{"+s.formula+":9}", nil
	own.Lesson[last].Ask, own.Lesson[last].Choices, own.Lesson[last].Answer, own.Lesson[last].Because = "", nil, 0, ""
	c, _, err = c.With(own)
	require.NoError(t, err, s.formula)
	shown := shownStops(c)
	require.Len(t, shown, last+1, "%s, stop %d: %s", s.lesson, s.stop, s.figure)
	x, err := strconv.ParseFloat(shown[last].Say, 64)
	require.NoError(t, err)
	return x
}

// shownStops are the stops of a lesson as its run fills them, up to the last.
func shownStops(c *sim.Case) []sim.ShownStop {
	var list []sim.ShownStop
	stops := sim.NewStops(c.Scenario.Lesson, c.Rig.Clock.Tick)
	b := sim.NewBench(c, nil)
	for len(list) < len(c.Scenario.Lesson) && b.Tick() {
		if i, due := b.AtStop(stops); due {
			list = append(list, b.Shown(stops, i))
		}
	}
	return list
}

// Every figure in braces has a value at its stop, and what a number asks for has one.
func TestEveryFigureHasAValue(t *testing.T) {
	t.Parallel()
	found := lessons(t)
	for i, name := range slices.Sorted(maps.Keys(found)) {
		if i%everyNth != 0 {
			continue
		}
		c := found[name]
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			shown := shownStops(c)
			require.Len(t, shown, len(c.Scenario.Lesson))
			for i, s := range shown {
				text := s.Say + s.Ask + strings.Join(s.Choices, " ") + s.Reason
				if s.Number == nil || !s.Number.AtNext {
					text += s.Because
				}
				require.NotContains(t, text, "no value", "stop %d", i+1)
				require.NotContains(t, text, "{", "stop %d", i+1)
				if s.Number != nil && !s.Number.AtNext {
					require.False(t, math.IsNaN(s.Value), "stop %d", i+1)
				}
				if i > 0 && c.Scenario.Lesson[i-1].Number != nil && c.Scenario.Lesson[i-1].Number.AtNext {
					require.False(t, math.IsNaN(s.Predicted), "stop %d", i+1)
				}
			}
		})
	}
}
