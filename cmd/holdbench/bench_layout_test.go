//go:build unix

package main

import (
	"regexp"
	"slices"
	"strings"
	"testing"
)

// Conditions keep the names of their signals, and events the state that was left.
func TestBenchNamesSignalsAndStates(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.ends("lining-worn-thin")
		s.waits("the speed and its limit", regexp.MustCompile(`abs\(speed\) +0\.3672 ?> ?20`).MatchString)
		for range 6 { // back by states, to the one that moves to the support and waits for much
			if at.columns >= 110 { // in 34 cells a limit with a time has no room for it
				s.waits("each comparison has the name of its signal", namesItsSignals)
			}
			before := s.text()
			s.types("S")
			s.waits("an earlier state", func(screen string) bool { return screen != before })
		}
		s.does(keyEnd, "■ ended")
		if at.columns < 110 { // the events are a tab of their own
			s.types(keyTab)
		}
		s.sees("hold_on_torque → locked_out")
		s.sees("secure_axis → hold_on_torque")
		s.quits()
	})
}

// namesItsSignals is whether no value stands in the conditions without the name of what it is of.
func namesItsSignals(screen string) bool {
	bare := regexp.MustCompile(`[✗✓◷] ([0-9]+/[0-9]+ )?[-−]?[0-9.]+ ?[<>=]`)
	conditions := pane(screen, "transitions")
	return len(conditions) > 0 && !slices.ContainsFunc(conditions, bare.MatchString)
}

// The states ahead are listed as long as there are rows for them, and the curves get most of the width.
func TestBenchUsesItsRoom(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.starts()
		for _, state := range []string{"permissives", "decouple", "travel", "settle", "close_brake", "press_down", "verdict_down"} {
			s.waits("the path is whole, or has every row of its pane", func(screen string) bool {
				path := pane(screen, "sequence")
				return strings.Contains(strings.Join(path, "\n"), "○ passed") || len(path) > 0 && !slices.Contains(path, "")
			})
			s.does("s", "◉ "+state)
		}
		s.waits("the curves have more than half of the width", func(screen string) bool {
			states := regexp.MustCompile(`(?m)^  state ▸[^│\n]*`).FindString(screen)
			return len([]rune(states)) > int(at.columns)/2
		})
		s.quits()
	})
}

// pane are the rows of a pane of the bench, without blanks at their ends.
func pane(screen, title string) []string {
	lines := rows(screen)
	top := slices.IndexFunc(lines, func(line string) bool {
		return strings.Contains(line, "── "+title+" ─") || strings.Contains(line, "─ "+title+" ─")
	})
	if top < 0 {
		return nil
	}
	const frame = 3 // before the title
	before, _, _ := strings.Cut(lines[top], title)
	from := len([]rune(before)) - frame
	var list []string
	for _, line := range lines[top+1:] {
		cells := []rune(line)
		if from >= len(cells) || cells[from] == '─' {
			break
		}
		text, _, _ := strings.Cut(string(cells[from:]), "│")
		list = append(list, strings.TrimSpace(text))
	}
	return list
}

// On a low screen every row shows one thing: name, state, status, the timeline and the keys stand, and what has no
// room is left out.
func TestBenchOnALowScreen(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.ends("lining-worn-thin")
		for height := uint16(20); height >= 7; height-- {
			s.resize(at.columns, height)
			s.waits("every row shows one thing", func(screen string) bool { return isLow(rows(screen), int(height)) })
		}
		s.resize(at.columns, at.rows)
		s.sees("move_to_support")
		s.quits()
	})
}

// isLow is whether a low screen has all that must be on it, and no row with the times below the curves has the states
// above them as well.
func isLow(lines []string, height int) bool {
	const alarm = "⚠ brake test failed - the drive carries the load - axis locked out, do not switch the drive off"
	over := regexp.MustCompile(`^ {6}s .*[a-z]{4}`)
	return len(lines) == height && strings.Contains(oneLine(strings.Join(lines[2:], " ")), alarm) &&
		strings.HasPrefix(lines[0], "lining-worn-thin ") && strings.HasPrefix(lines[1], "■ ended ") &&
		strings.HasPrefix(lines[2], "◼ operation inhibited") &&
		regexp.MustCompile(`^0 ▲[━◇▸§■┃]+ +19\.156 s *$`).MatchString(lines[height-2]) &&
		strings.HasPrefix(lines[height-1], " space run") && !slices.ContainsFunc(lines, over.MatchString)
}
