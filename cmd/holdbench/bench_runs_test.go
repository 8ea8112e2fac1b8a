//go:build unix

package main

import (
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// A run is as long as its document asks for, on the bench as well.
func TestBenchRunsAsLongAsTheScript(t *testing.T) {
	document := filepath.Join(t.TempDir(), "late.yaml")
	require.NoError(t, os.WriteFile(document, []byte(`scenario: late
title: The test is started after eight minutes
rig: pane-hoist
sequence: reference
script:
  - {at: 8m, set: {trigger: true}}
expect: {end: pass, class: sound-pass, obligations: all}
`), 0o644))
	vetted := holdbench(t, "vet", document)
	assert.Zero(t, vetted.code, "%s%s", vetted.stdout, vetted.stderr)
	atEachSize(t, func(at desk) {
		s := at.sit(nil, "--scenario", document)
		s.sees("late")
		s.does(keyEnd, "✓ pass · proven")
		s.waits("the run has lasted for eight minutes and a test", func(screen string) bool {
			return strings.Contains(rows(screen)[1], "■ ended") && strings.Contains(rows(screen)[1], " 48")
		})
		s.quits()
	})
}

// A lesson belongs to the rig and the sequence of its scenario; on others it is not offered, and its text says whose it
// is.
func TestBenchShowsNoLessonOfAnotherRig(t *testing.T) {
	atEachSize(t, func(at desk) {
		t := at.t
		s := at.starts("lining-worn-thin", "--rig", "store-lift")
		s.types("n")
		s.reads("a lesson belongs to the rig and the sequence of its scenario, and another one is on the bench")
		assert.NotContains(t, s.text(), "lesson 1")
		s.does("l", "─ Choose what to run ─", "With its own rig and sequence:")
		s.closes("─ Choose what to run ─")
		s.quits()

		own := at.starts("lining-worn-thin")
		own.does("n", "Rig pane-hoist, sequence reference.")
		own.closes("Rig pane-hoist, sequence reference.")
		own.quits()
	})
}

// A lesson of the course is done at each size, and found done the next time.
func TestBenchTeaches(t *testing.T) {
	atEachSize(t, func(at desk) {
		t := at.t
		state := t.TempDir()
		s := at.sit([]string{"XDG_STATE_HOME=" + state})
		s.sees("healthy-down-and-up")
		s.does("N", "0 of 36 lessons done")
		s.types("without the drive")
		s.does(keyEnter, "lesson 5.2")
		s.types(keyEnter)
		const first = "lesson 5.2, 1 of 3"
		s.waits("the run of the lesson", func(screen string) bool {
			return strings.Contains(screen, "▶ running") || strings.Contains(screen, first)
		})
		for _, stop := range []string{first, "lesson 5.2, 2 of 3", "lesson 5.2, 3 of 3"} {
			if !strings.Contains(s.text(), stop) {
				s.types(keyEnd)
			}
			s.sees(stop)
			s.types("2" + keyEnter)
		}
		s.does(keyEnd, "This was drive-trips-while-pressing", "2 of 2 questions answered correctly.", "Next lesson, with enter: 5.3 Without the controller")
		s.closes("end of the lesson")
		s.quits()
		assert.FileExists(t, filepath.Join(state, "holdbench", "course.json"))

		again := at.sit([]string{"XDG_STATE_HOME=" + state})
		again.sees("healthy-down-and-up")
		again.does("N", "1 of 36 lessons done; 2 of 2 questions answered correctly.")
		again.closes("lessons done")
		again.quits()
	})
}

// Figures have four significant digits on every screen: leaves reads all that was written.
func TestBenchWritesShortFigures(t *testing.T) {
	atEachSize(t, func(at desk) {
		s := at.ends("press-up-with-load")
		for _, step := range [][2]string{{"o", "n nom"}, {"S", " ◀ of "}, {".", "3.396 s"}, {"e", "■ ended"}, {",", "3.892 s"}} {
			s.does(step[0], step[1])
		}
		s.types("L") // one thing at a time
		s.seesNoMore("── axis ─")
		for range 4 {
			before := s.text()
			s.types(keyTab)
			s.waits("another view", func(screen string) bool { return screen != before })
		}
		s.does("L", "── axis ─")
		for key, title := range map[string]string{"v": "Values", "f": "Faults", "l": "Choose what to run", "?": "Help", "N": "The brake test of a gravity-loaded axis", "k": "Keep the run", "y": "Compare", "i": "Changes"} {
			s.does(key, "─ "+title)
			if slices.Contains([]string{"v", "f", "?"}, key) {
				s.readsOn()
			}
			s.closes("─ " + title)
		}
		s.quits()
	})
}

// readsOn reads a list page by page, to its end.
func (s *seat) readsOn() {
	s.t.Helper()
	const pageDown, pages = "\x1b[6~", 60
	more := regexp.MustCompile(`(?m)[^↑]↓ *(│|$)`)
	for range pages {
		before := s.text()
		if !more.MatchString(before) {
			return
		}
		s.types(pageDown)
		s.waits("the next page", func(screen string) bool { return screen != before })
	}
}
