package view_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sequence"
)

// A condition loses digits first, then its unit, then blanks; what stays longest is the name of the signal. The name alone
// would say that the value is that of the signal: where it is a part of an expression, the sign of what is cut stands at
// it. A value never looks as if it were at its limit, or beyond it.
func TestTermsKeepTheSignal(t *testing.T) {
	t.Parallel()
	position := sequence.Term{Text: "abs(position_mm - test_position_mm) <= in_position_mm", Left: "118.69432 mm", Op: "<=", Right: "0.05 mm"}
	torque := sequence.Term{Text: "-sign(back_mm) * (torque_nm - load_nm) > most_nm", Left: "0.15433 N·m", Op: ">", Right: "1.23 N·m"}
	uptime := sequence.Term{Text: "uptime_s - tested_at_s > interval_s", Left: "28800.00125 s", Op: ">", Right: "28800 s"}
	near := sequence.Term{Text: "torque_nm >= least_nm", Left: "3.6461 N·m", Op: ">=", Right: "3.6459 N·m"}
	below := sequence.Term{Text: "torque_nm >= least_nm", Left: "3.6455 N·m", Op: ">=", Right: "3.6459 N·m"}
	small := sequence.Term{Text: "abs(position_mm - test_position_mm) <= in_position_mm", Left: "0.000063 mm", Op: "<=", Right: "0.05 mm"}
	pulses := sequence.Term{Text: "pulses >= 123456", Left: "-123455.5", Op: ">=", Right: "123456"}
	cause := sequence.Term{Text: "judge_cause == \"position-lost\"", Left: "moved", Op: "==", Right: "position-lost"}
	flag := sequence.Term{Text: "previous(acknowledge)"}
	for _, c := range []struct {
		term  sequence.Term
		width int
		want  string
	}{
		{position, 60, "abs(position_mm - test_position_mm) 118.69432 <= 0.05 mm"},
		{position, 54, "abs(position_mm - test_position_mm) 118.7 <= 0.05 mm"},
		{position, 49, "abs(position_mm - test_position_mm) 118.7 <= 0.05"},
		{position, 47, "abs(position_mm-test_position_mm) 118.7 <= 0.05"},
		{position, 45, "abs(position_mm-test_position_mm) 118.7<=0.05"},
		{position, 32, "abs(position_mm-tes… 118.7<=0.05"},
		{position, 25, "…position_mm… 118.7<=0.05"},
		{position, 24, "…position_mm 118.7<=0.05"},
		{position, 22, "…position_mm 119<=0.05"},
		{position, 19, "…positio… 119<=0.05"},
		{position, 15, "…pos… 119<=0.05"},
		{position, 14, "119<=0.05"},
		{torque, 28, "…torque_nm-load… 0.1543>1.23"},
		{torque, 22, "…torque_nm 0.1543>1.23"},
		{torque, 21, "…torque_nm 0.154>1.23"},
		{uptime, 46, "uptime_s - tested_at_s 28800.00125 > 28800 s"},
		{uptime, 38, "uptime_s-tested_at_s 28800.00125>28800"},
		{uptime, 28, "uptime_s-… 28800.00125>28800"},
		{near, 24, "torque_nm 3.6461>=3.6459"},
		{near, 15, "3.65>=3.646"},
		{below, 15, "3.6455>=3.6459"},
		{small, 27, "…position_mm 0.000063<=0.05"},
		{pulses, 25, "pulses -123456 >= 123456"},
		{cause, 34, "judge_cause moved == position-lost"},
		{cause, 32, "judge_cause moved==position-lost"},
		{cause, 18, "judge_cause moved"},
		{flag, 21, "previous(acknowledge)"},
		{flag, 15, "…acknowledge)"},
		{flag, 12, "…acknowledge"},
		{flag, 10, "…acknowle…"},
		{flag, 4, ""},
	} {
		name, values := view.Written(&c.term, c.width)
		text := strings.TrimSpace(name + " " + values)
		assert.Equal(t, c.want, text, c.width)
		assert.LessOrEqual(t, page.Width(text), c.width)
	}
}

// Beside each value of a transition stands what it is a value of.
func TestTransitionsNameTheirValues(t *testing.T) {
	t.Parallel()
	for _, size := range [][2]int{{80, 24}, {120, 40}, {200, 60}} {
		s, _ := scene(t, "healthy-down-and-up", entered("travel", 0.5))
		p := page.New(size[0], size[1], false)
		view.Bench(p.Area(), s)
		for _, line := range strings.Split(p.Text(), "\n") {
			if _, values, ok := strings.Cut(line, "✗ "); ok && strings.ContainsAny(values, "<>") {
				assert.Regexp(t, `^(\d/\d )?[^0-9]*(speed|torque_|position)`, values, size)
			}
		}
	}
}

// On 80 columns the transitions on the torque keep the name of their signal, with the sign that it is a part of an
// expression; a time left says whether it is one for which the condition lasts, or in which the state ends.
func TestNarrowTransitionsKeepTheSignal(t *testing.T) {
	t.Parallel()
	for state, want := range map[string][]string{
		"secure_axis":    {"hold_… ◷ brake_closed for 0.05 s", "hold_… ◷ brake_closed for 0.25 s", "on_brake… ✗ speed ", "in  1.400 s"},
		"hold_on_torque": {"✗ …torque_nm 1.39>1.67", "✗ …torque_nm -1.39>0.281", "✗ …torque_nm 1.39<=0.1405"},
	} {
		s, _ := scene(t, "current-limit-drops-while-opening", entered(state, 0.1))
		p := page.New(80, 23, false)
		view.Bench(p.Area(), s)
		for _, row := range want {
			assert.Contains(t, p.Text(), row, state)
		}
	}
}

// A single row is that of the nearest transition alone, and says how many there are besides.
func TestOneRowOfTransitions(t *testing.T) {
	t.Parallel()
	s, _ := scene(t, "lining-worn-thin", entered("press_down", 0.1))
	for _, w := range []int{34, 50, 100} {
		list := rows(view.Transitions, w, 2, false, s)
		assert.Regexp(t, `\+\d more`, list[0])
		assert.Contains(t, list[1], "⇒ ")
		assert.NotContains(t, list[1], "any")
		assert.Contains(t, rows(view.Transitions, w, 3, false, s)[2], "any ")
	}
}
