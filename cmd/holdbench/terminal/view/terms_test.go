package view_test

import (
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/cmd/holdbench/terminal/page"
	"holdbench/cmd/holdbench/terminal/view"
	"holdbench/sequence"
)

// A condition loses digits first, then its unit, then blanks; what stays longest is the name of the signal.
func TestTermsKeepTheSignal(t *testing.T) {
	t.Parallel()
	position := sequence.Term{Text: "abs(position_mm - test_position_mm) <= in_position_mm", Left: "118.69432 mm", Op: "<=", Right: "0.05 mm"}
	torque := sequence.Term{Text: "-sign(back_mm) * (torque_nm - load_nm) > most_nm", Left: "0.15433 N·m", Op: ">", Right: "1.23 N·m"}
	uptime := sequence.Term{Text: "uptime_s - tested_at_s > interval_s", Left: "28800.00125 s", Op: ">", Right: "28800 s"}
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
		{position, 24, "position_mm 118.7<=0.05"},
		{position, 21, "position_mm 119<=0.05"},
		{position, 18, "positio… 119<=0.05"},
		{position, 12, "119<=0.05"},
		{torque, 28, "…torque_nm-load… 0.1543>1.23"},
		{torque, 21, "torque_nm 0.1543>1.23"},
		{uptime, 40, "uptime_s - tested_at_s 28800 > 28800 s"},
		{uptime, 33, "uptime_s-tested_at_s 28800>28800"},
		{pulses, 25, "pulses -123456 >= 123456"},
		{cause, 34, "judge_cause moved == position-lost"},
		{cause, 32, "judge_cause moved==position-lost"},
		{cause, 18, "judge_cause moved"},
		{flag, 21, "previous(acknowledge)"},
		{flag, 15, "…acknowledge)"},
		{flag, 12, "acknowledge"},
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

// On 80 columns the transitions on the torque keep the name of their signal, with the time left beside it.
func TestNarrowTransitionsKeepTheSignal(t *testing.T) {
	t.Parallel()
	for state, want := range map[string][]string{
		"secure_axis":    {"hold_o… ◷ brake_closed ×1 0.05 s", "hold_o… ◷ brake_closed ×1 0.25 s", "on_brake… ✗ speed "},
		"hold_on_torque": {"secure_… ✗ torque_nm -", "locked_… ✗ torque_nm 1."},
	} {
		s, _ := scene(t, "current-limit-drops-while-opening", entered(state, 0.1))
		p := page.New(80, 23, false)
		view.Bench(p.Area(), s)
		for _, row := range want {
			assert.Contains(t, p.Text(), row, state)
		}
	}
}
