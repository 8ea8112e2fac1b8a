package probecmd

import (
	"bytes"
	"context"
	"encoding/csv"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/muesli/termenv"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// coarse is a tick that does where a torque is not what is asked.
const coarse = "rig.clock.tick=1ms"

// inventedStates are more than fit beside each other on a narrow screen.
func inventedStates() []string {
	names := []string{"ready", "close_brake", "press_down", "verdict_down", "a_state_with_a_long_name"}
	for i := len(names); i < 35; i++ {
		names = append(names, fmt.Sprintf("state_%02d", i))
	}
	return names
}

// inventedMap is a small probe in which every kind comes up: nothing of it was run.
func inventedMap() *probe.Results {
	m := &probe.Results{
		Scenario: "invented", Rig: "pane-hoist", Sequence: "reference", States: inventedStates(), Complete: true,
		Faults:        []string{"lining-worn", "brake-stays-open", "load-heavier", "encoder-frozen", "window-too-wide"},
		NotApplicable: []string{"coupling-stuck"}, Unreached: inventedStates()[33:],
	}
	groups := []string{catalogue.BrakeGroup, catalogue.BrakeGroup, catalogue.MachineGroup, catalogue.SensorGroup}
	for i, fault := range m.Faults[:4] {
		for _, state := range m.States[:33] {
			m.Outcomes = append(m.Outcomes, inventedOutcome(fault, groups[i], state, probe.Entry), inventedOutcome(fault, groups[i], state, probe.Change))
		}
	}
	whole := inventedOutcome("window-too-wide", catalogue.EngineeringGroup, "", probe.AtStart)
	whole.Kind, whole.Class, whole.Spec = probe.Missed, sim.Missed, "window-too-wide"
	m.Outcomes = append(m.Outcomes, whole)
	change := func(fault, state string, with func(o *probe.Outcome)) {
		for i := range m.Outcomes {
			if o := &m.Outcomes[i]; o.Fault == fault && o.State == state && o.Moment == probe.Change {
				with(o)
			}
		}
	}
	change("lining-worn", "press_down", func(o *probe.Outcome) {
		o.Kind, o.Class, o.LoadDropMM, o.Route = probe.Missed, sim.Missed, 3.25, []string{"link-down@ready", "it's=1@ready"}
	})
	change("brake-stays-open", "close_brake", func(o *probe.Outcome) {
		o.Kind, o.Class, o.End, o.Broken, o.LoadDropMM, o.Cause = probe.Dropped, sim.Caught, "fail", []string{sim.NoDrop, sim.LockedOut}, 120, "brake-not-closed"
	})
	change("load-heavier", "verdict_down", func(o *probe.Outcome) { o.Kind, o.Broken = probe.Stale, []string{sim.FreshProof} })
	change("load-heavier", "state_10", func(o *probe.Outcome) { o.Kind, o.Broken, o.End = probe.Endless, []string{sim.Bounded}, "none" })
	change("encoder-frozen", "state_20", func(o *probe.Outcome) { o.Kind, o.Broken = probe.Broken, []string{sim.Carried} })
	change("encoder-frozen", "state_21", func(o *probe.Outcome) {
		o.Kind, o.Class, o.Broken, o.LoadDropMM, o.Late = probe.Missed, sim.Missed, []string{sim.NoDrop}, 20, true
	})
	change("brake-stays-open", "state_32", func(o *probe.Outcome) {
		o.Kind, o.Class, o.Broken, o.LoadDropMM, o.Unpreventable = probe.Dropped, sim.Caught, []string{sim.NoDrop}, 203, true
	})
	change("encoder-frozen", "a_state_with_a_long_name", func(o *probe.Outcome) {
		o.Kind, o.Class, o.End, o.Cause = probe.FalseAlarm, sim.FalseAlarm, "fail", "<b>moved</b>"
	})
	return m
}

func inventedOutcome(fault, group, state, moment string) probe.Outcome {
	return probe.Outcome{
		Cell: probe.Cell{Fault: fault, Group: group, State: state, Moment: moment, Spec: fault + "@" + state, Severity: "usual", Number: 0.35},
		End:  "pass", EndedIn: "passed", Class: sim.SoundPass, Kind: probe.Fine, Broken: []string{}, Path: []string{"ready"},
	}
}

func inventedReport(t *testing.T) *report {
	t.Helper()
	ready, _, err := scenarios.LoadCase(command.Demo, scenarios.Overrides{})
	require.NoError(t, err)
	m := inventedMap()
	return &report{plan: &plan{ready: ready, nominal: &probe.Nominal{End: "pass", Expected: "pass", EndedIn: "passed", DurationS: 14.2}, again: command.NewRerun(command.Demo, &command.OverrideFlags{Set: []string{"judge.dwell=2s"}})}, found: m, known: len(m.Outcomes)}
}

// The page of a probe as it was last looked at and found good.
func TestProbePages(t *testing.T) {
	for _, width := range []int{80, 120, 200} {
		for _, ascii := range []bool{false, true} {
			name := fmt.Sprintf("page-%d", width)
			if ascii {
				name += "-ascii"
			}
			t.Run(name, func(t *testing.T) {
				got := newReportPage(clitest.PlainScreen(width, ascii), inventedReport(t)).text()
				clitest.KeepsToThePage(t, got, width, ascii)
				clitest.Golden(t, "probe", name+".txt", got)
			})
		}
	}
}

// What is accepted by name stands apart, with its reason, and needs no review.
func TestProbePageOfAcceptedOutcomes(t *testing.T) {
	p := inventedReport(t)
	for i := range p.found.Outcomes {
		if o := &p.found.Outcomes[i]; o.Kind == probe.Broken || o.Kind == probe.Dropped && !o.Excused() {
			o.Accepted = "The drive takes the load up within 0.1 mm, and the axis is locked out."
		}
	}
	got := newReportPage(clitest.PlainScreen(80, false), p).text()
	clitest.KeepsToThePage(t, got, 80, false)
	clitest.Golden(t, "probe", "accepted-80.txt", got)
	var b bytes.Buffer
	require.NoError(t, writeHTML(&b, p))
	assert.Contains(t, b.String(), "<h2>Accepted by name</h2>")
	assert.Contains(t, b.String(), `<span class="soft">reason</span> The drive takes the load up within 0.1 mm`)
	linksLead(t, b.String())
}

// The danger is ranked: missed, dropped, stale, endless, broken, then false alarms.
func TestProbePageRanks(t *testing.T) {
	got := newReportPage(clitest.PlainScreen(80, false), inventedReport(t)).text()
	last := 0
	for i, kind := range []probe.Kind{probe.Missed, probe.Dropped, probe.Stale, probe.Endless, probe.Broken, probe.FalseAlarm} {
		at := strings.Index(got, fmt.Sprintf("\n%2d  %s", i+1, kind))
		require.Greater(t, at, last, "%d %s", i+1, kind)
		last = at
	}
	assert.Less(t, last, strings.Index(got, "\nnot detectable or not preventable"))
}

// Every sign is another letter, so that no colour and no Unicode is needed.
func TestProbeSignsDiffer(t *testing.T) {
	for _, ascii := range []bool{false, true} {
		s := clitest.PlainScreen(80, ascii)
		seen := map[string]probe.Kind{}
		for _, l := range kindLooks() {
			for _, excused := range []bool{false, true} {
				o := &probe.Outcome{Kind: l.kind, Late: excused}
				if excused && l.kind.Rank() >= probe.FalseAlarm.Rank() {
					continue // cannot be
				}
				sign := (&sheet{Sheet: page.NewSheet(s)}).sign(o)
				assert.Equal(t, 1, page.Cells(sign))
				assert.NotContains(t, seen, sign)
				seen[sign] = l.kind
			}
		}
	}
}

// What is coloured is coloured only where there are colours.
func TestProbeColours(t *testing.T) {
	s := clitest.PlainScreen(80, false)
	assert.NotContains(t, newReportPage(s, inventedReport(t)).text(), "\x1b")
	s.Style = page.NewStyles(&bytes.Buffer{}, termenv.ANSI256)
	coloured := newReportPage(s, inventedReport(t)).text()
	assert.Contains(t, coloured, "\x1b")
	plain := regexp.MustCompile("\x1b\\[[0-9;]*m").ReplaceAllString(coloured, "")
	assert.Equal(t, newReportPage(clitest.PlainScreen(80, false), inventedReport(t)).text(), plain)
}

// Every column is in exactly one block, and none is wider than the screen.
func TestProbeBlocks(t *testing.T) {
	for n := range 40 {
		columns := make([]int, n)
		for i := range columns {
			columns[i] = i
		}
		for most := range 50 {
			list := blocks(columns, most)
			assert.Equal(t, columns, append([]int{}, slices.Concat(list...)...))
			for _, b := range list {
				assert.LessOrEqual(t, len(b), max(most, 1))
			}
		}
	}
}

// A page for a browser needs nothing from outside, and nothing of a document gets into it
// as anything but text.
func TestProbeHTML(t *testing.T) {
	var b bytes.Buffer
	require.NoError(t, writeHTML(&b, inventedReport(t)))
	got := b.String()
	clitest.Golden(t, "probe", "page.html", got)
	assert.NotContains(t, got, "<b>moved</b>")
	assert.Contains(t, got, "&lt;b&gt;moved&lt;/b&gt;")
	assert.NotRegexp(t, `https?://|<link|<img|@import|url\(|src=`, got)
	for _, words := range []string{"proves no machine safe", "under a raised load", "EN ISO 13849-1", "qualified people"} {
		assert.Contains(t, got, words)
	}
	linksLead(t, got)
}

// A probe of fifteen thousand cells is still a page that loads and can be mailed.
func TestProbeHTMLStaysSmall(t *testing.T) {
	p := inventedReport(t)
	for len(p.found.Outcomes) < 15000 {
		p.found.Outcomes = append(p.found.Outcomes, inventedOutcome("lining-worn", catalogue.BrakeGroup, "ready", probe.Midway))
	}
	var b bytes.Buffer
	require.NoError(t, writeHTML(&b, p))
	assert.Less(t, b.Len(), 300_000)
}

func TestProbeCSV(t *testing.T) {
	p := inventedReport(t)
	var b bytes.Buffer
	require.NoError(t, writeCSV(&b, p))
	rows, err := csv.NewReader(&b).ReadAll()
	require.NoError(t, err)
	require.Len(t, rows, len(p.found.Outcomes)+1)
	assert.Contains(t, rows[0], "not_preventable", "in the words of the page")
	command := slices.Index(rows[0], "command")
	for i, row := range rows[1:] {
		assert.Equal(t, p.found.Outcomes[i].Fault, row[0])
		assert.Equal(t, p.commandLine(&p.found.Outcomes[i].Cell), row[command])
	}
}

// A shell takes a command apart into the words that it was made of, on one line and on
// several.
func TestRerunSurvivesAShell(t *testing.T) {
	shell, err := exec.LookPath("sh")
	if err != nil {
		t.Skip("no sh here")
	}
	f := &command.OverrideFlags{Rig: "my rig.yaml", Sequence: "it's.yaml", Seed: 7, Set: []string{"sequence.x=a $HOME `b` \"c\"", "judge.dwell=2s"}}
	want := []string{
		"run", "a;b.yaml", "--rig", f.Rig, "--sequence", f.Sequence, "--seed", "7", "--set", f.Set[0], "--set", f.Set[1],
		"--fault", "link-down@ready", "--fault", "lining-worn=0.35@close_brake+344ms",
	}
	p := &plan{again: command.NewRerun("a;b.yaml", f)}
	c := &probe.Cell{Spec: "lining-worn=0.35@close_brake+344ms", Route: []string{"link-down@ready"}}
	for _, text := range []string{p.commandLine(c), page.BreakCommand(p.commandParts(c), "    ", 40)} {
		got, err := exec.Command(shell, "-c", "holdbench() { printf '%s\\n' \"$@\"; }\n"+text).Output()
		require.NoError(t, err)
		assert.Equal(t, want, strings.Split(strings.TrimSuffix(string(got), "\n"), "\n"), text)
	}
	assert.Equal(t, "holdbench run x --fault lining-worn=0.35@close_brake+344ms", (&plan{again: command.NewRerun("x", &command.OverrideFlags{})}).commandLine(&probe.Cell{Spec: c.Spec}), "nothing is quoted without need")
}

// stopping ends a context after so many writes.
type stopping struct {
	bytes.Buffer
	left   int
	cancel context.CancelFunc
}

func (s *stopping) Write(p []byte) (int, error) {
	if s.left--; s.left == 0 {
		s.cancel()
	}
	return s.Buffer.Write(p)
}

// A probe that was interrupted keeps its cells and goes on to the same end, byte by byte.
func TestProbeResumes(t *testing.T) {
	t.Chdir(t.TempDir())
	args := []string{"probe", "--fault", "link-down", "--fault", "encoder-frozen", "--through", "link-down", "--set", coarse, "--workers", "1", "--keep"}
	whole := invoke(t.Context(), append(args, "whole.jsonl")...)
	require.Less(t, whole.Code, command.ExitWrong, whole.Stderr)

	ctx, cancel := context.WithCancel(t.Context())
	stop := &stopping{left: 20, cancel: cancel}
	cut := invokeTo(ctx, stop, append(args, "cut.jsonl", "--json")...)
	assert.Equal(t, command.ExitInterrupted, cut.Code)
	assert.Contains(t, cut.Stderr, "to continue:\n  holdbench probe --fault link-down --fault encoder-frozen --json --keep cut.jsonl --set "+coarse+" --through link-down --workers 1\n")
	kept, err := os.ReadFile("cut.jsonl")
	require.NoError(t, err)
	assert.Equal(t, stop.String(), string(kept), "the lines are the same on both ways")
	require.NotEmpty(t, kept)

	want, err := os.ReadFile("whole.jsonl")
	require.NoError(t, err)
	require.Less(t, len(kept), len(want))
	starts := []int{len(kept) - 5, len(kept), 1, 0} // a line that broke off, whole lines, a head that broke off, nothing
	if testing.Short() {
		starts = starts[:1]
	}
	for _, start := range starts {
		require.NoError(t, os.WriteFile("cut.jsonl", kept[:start], 0o666))
		again := invoke(t.Context(), append(args, "cut.jsonl")...)
		assert.Equal(t, whole.Code, again.Code, again.Stderr)
		assert.Equal(t, whole.Stdout, again.Stdout)
		got, err := os.ReadFile("cut.jsonl")
		require.NoError(t, err)
		assert.Equal(t, string(want), string(got), start)
	}
	again := invoke(t.Context(), append(args, "cut.jsonl")...)
	assert.Equal(t, whole.Stdout, again.Stdout, "a whole one is only printed")
	assert.NotContains(t, again.Stderr, " run in ")
}

// A journal whose cells are not those that are due is not built upon.
func TestProbeRefusesOtherCells(t *testing.T) {
	t.Chdir(t.TempDir())
	args := []string{"probe", "--fault", "encoder-frozen", "--state", "travel", "--keep", "kept.jsonl"}
	require.Equal(t, command.ExitOK, invoke(t.Context(), args...).Code)
	text, err := os.ReadFile("kept.jsonl")
	require.NoError(t, err)
	lines := slices.Collect(strings.Lines(string(text)))
	end := lines[len(lines)-1]
	lines = lines[:len(lines)-1] // as if it had been interrupted before its end was written
	const otherCells = "--keep kept.jsonl: the earlier probe has"
	for name, x := range map[string]struct {
		lines []string
		says  []string
	}{
		"swapped":               {[]string{lines[0], lines[2], lines[1]}, []string{otherCells, "or --anew discards it"}},
		"swapped, and complete": {[]string{lines[0], lines[2], lines[1], lines[3], lines[4], end}, []string{"--keep kept.jsonl: line 6: the cells ahead of the last line are not in the order in which they were written"}},
		"toomany":               {append(slices.Clone(lines), lines[1]), []string{otherCells, "or --anew discards it"}},
	} {
		wrong := x.lines
		require.NoError(t, os.WriteFile("kept.jsonl", []byte(strings.Join(wrong, "")), 0o666))
		got := invoke(t.Context(), args...)
		assert.Equal(t, command.ExitWrong, got.Code, name)
		for _, text := range x.says {
			assert.Contains(t, got.Stderr, text, name)
		}
		after, err := os.ReadFile("kept.jsonl")
		require.NoError(t, err)
		assert.Equal(t, strings.Join(wrong, ""), string(after), name)
	}
}

// Interrupted before a cell is complete, a probe says so in one line: there is nothing to show, and files
// stay as they were.
func TestProbeInterruptedAtOnce(t *testing.T) {
	t.Chdir(t.TempDir())
	require.NoError(t, os.WriteFile("page.html", []byte("older"), 0o600))
	ctx, cancel := context.WithCancel(t.Context())
	cancel()
	got := invoke(ctx, "probe", "--fault", "link-down", "--through", "link-down", "--html", "page.html", "--csv", "cells.csv")
	assert.Equal(t, command.ExitInterrupted, got.Code)
	assert.Empty(t, got.Stdout)
	assert.Equal(t, "holdbench: interrupted in the search for routes to further states; no cell was tried\n", got.Stderr)
	text, err := os.ReadFile("page.html")
	require.NoError(t, err)
	assert.Equal(t, "older", string(text))
	left, err := os.ReadDir(".")
	require.NoError(t, err)
	assert.Len(t, left, 1)
	assert.EqualError(t, nothingComplete(&report{known: 3}), "interrupted before the first of 3 cells was complete")
}

// Without a journal an interruption prints what there is.
func TestProbeInterruptedPrints(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	file := filepath.Join(t.TempDir(), "page.html")
	stop := &stopping{left: 8, cancel: cancel}
	got := invokeTo(ctx, stop, "probe", "--fault", "link-down", "--through", "link-down", "--set", coarse, "--workers", "1", "--json", "--html", file)
	assert.Equal(t, command.ExitInterrupted, got.Code)
	assert.Regexp(t, "interrupted after [0-9]+ of [0-9]+ cells known so far", got.Stderr)
	text, err := os.ReadFile(file)
	require.NoError(t, err)
	assert.Contains(t, string(text), "The probe was interrupted")
}

// Standard output does not depend on the workers.
func TestProbeOnAnyNumberOfWorkers(t *testing.T) {
	args := []string{"probe", "--fault", "link-down", "--through", "link-down", "--set", coarse, "--json", "--workers"}
	one := invoke(t.Context(), append(args, "1")...)
	four := invoke(t.Context(), append(args, "4")...)
	require.NotEmpty(t, one.Stdout)
	assert.Equal(t, one.Stdout, four.Stdout)
}

// comparing holds the invented probe against one in which some cells were other.
func comparing(t *testing.T, before func(*baseline)) *comparison {
	t.Helper()
	p := inventedReport(t)
	p.head = probe.Head{Probe: "invented", Rig: "pane-hoist"}
	c := &comparison{p, &baseline{path: "before.jsonl", head: p.head, outcomes: inventedMap().Outcomes, whole: true}}
	before(c.was)
	return c
}

// exitOf is the exit code of a probe that is held against another one.
func exitOf(c *comparison) error { return (&session{was: c.was}).exit(c.report, false) }

func TestProbeBaseline(t *testing.T) {
	s := clitest.PlainScreen(80, false)
	t.Run("NothingChanged", func(t *testing.T) {
		c := comparing(t, func(*baseline) {})
		assert.Contains(t, newChangesPage(s, c).text(), "nothing changed")
		assert.NoError(t, exitOf(c), "what is dangerous was so before")
	})
	t.Run("Worse", func(t *testing.T) {
		c := comparing(t, func(b *baseline) {
			for i := range b.outcomes {
				o := &b.outcomes[i]
				switch {
				case o.Kind == probe.Missed && o.State == "press_down":
					o.Kind, o.Class, o.End, o.Cause = probe.Fine, sim.Caught, "fail", "moved"
				case o.State == "ready" && o.Fault == "lining-worn":
					o.Kind, o.Broken = probe.Broken, []string{sim.Restored}
				}
			}
			gone := inventedOutcome("lining-worn", catalogue.BrakeGroup, "was_there_once", probe.Entry)
			b.outcomes = append(b.outcomes[1:], gone)
		})
		clitest.Golden(t, "probe", "changes-80.txt", newChangesPage(s, c).text())
		assert.Equal(t, command.Exit(command.ExitBroken), exitOf(c))
	})
	t.Run("Better", func(t *testing.T) {
		c := comparing(t, func(b *baseline) { b.outcomes[0].Kind = probe.Dropped })
		assert.Contains(t, newChangesPage(s, c).text(), "nothing became worse")
		assert.NoError(t, exitOf(c))
	})
	t.Run("ManyTogether", func(t *testing.T) {
		c := comparing(t, func(b *baseline) {
			for i := range b.outcomes {
				if b.outcomes[i].Kind == probe.Fine {
					b.outcomes[i].EndedIn = "elsewhere"
				}
			}
		})
		got := newChangesPage(s, c).text()
		assert.Contains(t, got, "faults  lining-worn, brake-stays-open, load-heavier, encoder-frozen\n")
		assert.Equal(t, 1, strings.Count(got, "    was  "), "they changed alike")
	})
	t.Run("OtherChoice", func(t *testing.T) {
		c := comparing(t, func(b *baseline) {
			b.head.Faults, b.head.Rig = []string{"lining-worn"}, "kiln-gate"
			b.outcomes = b.outcomes[:10]
			b.outcomes = append(b.outcomes, inventedOutcome("lining-worn", catalogue.BrakeGroup, "gone", probe.Entry))
		})
		got := newChangesPage(s, c).text()
		assert.Contains(t, got, "on rig kiln-gate")
		assert.Contains(t, got, "only cells of both")
		assert.Contains(t, got, "nothing changed")
	})
	t.Run("InterruptedBaselineTellsOfNothingNew", func(t *testing.T) {
		c := comparing(t, func(b *baseline) { b.outcomes, b.whole = b.outcomes[50:], false })
		require.Equal(t, probe.Missed, c.found.Outcomes[5].Kind)
		assert.Empty(t, c.differences(), "it had not got so far")
		require.NoError(t, exitOf(c))
		assert.Contains(t, newChangesPage(s, c).text(), "It was interrupted; cells that it did not reach are left out.")
		c.was.whole = true
		assert.Equal(t, command.Exit(command.ExitBroken), exitOf(c), "a whole one would have had them")
	})
	t.Run("OtherWays", func(t *testing.T) {
		c := comparing(t, func(b *baseline) { b.head.Through, b.outcomes = []string{"link-down"}, b.outcomes[50:] })
		assert.Empty(t, c.differences(), "other faults lead to other states")
		assert.Contains(t, newChangesPage(s, c).text(), "other --fault, --state or --through;")
	})
	t.Run("InterruptedTellsOfNothingGone", func(t *testing.T) {
		c := comparing(t, func(*baseline) {})
		c.found.Outcomes, c.found.Complete = c.found.Outcomes[:50], false
		assert.Empty(t, c.differences())
	})
}
