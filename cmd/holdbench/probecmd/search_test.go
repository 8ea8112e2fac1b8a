package probecmd

import (
	"bytes"
	"context"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// inventedThresholds is a probe with thresholds: nothing of it was run.
func inventedThresholds(t *testing.T) *report {
	t.Helper()
	p := inventedReport(t)
	p.search = &search{done: 9, total: 12}
	threshold := func(fault, state string, number, share float64, kind probe.Kind, excused bool) {
		o := inventedOutcome(fault, catalogue.BrakeGroup, state, probe.Entry)
		if state == "" {
			o.Spec = fault
		}
		o.Severity, o.Number, o.Kind, o.Unpreventable, o.Broken = "", number, kind, excused, []string{sim.NoDrop}
		o.LoadDropMM, o.Cause = 7.25, "torque-not-reached"
		e := probe.Threshold{Outcome: o, Share: share, FirstS: 0.004, LastS: 12.3456}
		if share > 0 {
			safe := number + 0.001
			e.Safe = &safe
		}
		p.search.thresholds = append(p.search.thresholds, e)
	}
	threshold("lining-worn", "press_down", 0.31, 0.733, probe.Missed, false)
	threshold("load-heavier", "", 1.03, 0, probe.Broken, false)
	threshold("lining-worn", "a_state_with_a_name_that_goes_on_and_on", 0.4512, 0.498, probe.Broken, false)
	threshold("lining-worn", "close_brake", 0.74, 0.017, probe.Dropped, true)
	return p
}

// The thresholds as they were last looked at and found good.
func TestThresholdsPages(t *testing.T) {
	for name, s := range map[string]*page.Screen{
		"worst-80": clitest.PlainScreen(80, false), "worst-80-ascii": clitest.PlainScreen(80, true), "worst-120": clitest.PlainScreen(120, false),
	} {
		t.Run(name, func(t *testing.T) {
			p := inventedThresholds(t)
			v := newSheet(s, p.plan)
			p.search.print(v)
			got := v.String()
			clitest.KeepsToThePage(t, got, s.Width, s.ASCII)
			clitest.Golden(t, "probe", name+".txt", got)
		})
	}
	p := inventedReport(t)
	assert.NotContains(t, newReportPage(clitest.PlainScreen(80, false), p).text(), "mildest undetected", "nobody asked")
}

// A fault is shown by the mildest that somebody must look at, not by one that nobody could
// have prevented.
func TestTheMildestThreshold(t *testing.T) {
	groups := inventedThresholds(t).search.groups()
	require.Len(t, groups, 2)
	assert.Equal(t, "lining-worn", groups[0].fault)
	require.Len(t, groups[0].thresholds, 3)
	assert.InDelta(t, 0.4512, groups[0].mildest().Number, 0)
	groups[0].thresholds = groups[0].thresholds[2:]
	assert.Equal(t, "close_brake", groups[0].mildest().State)
}

func TestThresholdsHTML(t *testing.T) {
	p := inventedThresholds(t)
	var b bytes.Buffer
	require.NoError(t, writeHTML(&b, p))
	got := b.String()
	linksLead(t, got)
	assert.Contains(t, got, "<h2>Mildest undetected severity</h2>")
	for i := range p.search.thresholds {
		assert.Contains(t, got, p.commandLine(&p.search.thresholds[i].Cell))
	}
	b.Reset()
	require.NoError(t, writeHTML(&b, inventedReport(t)))
	assert.NotContains(t, b.String(), "Mildest undetected severity")
}

// A search that is interrupted prints what it has found, and the probe stays whole.
func TestThresholdsInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	p := inventedReport(t)
	p.options = probe.Options{Faults: []string{"lining-worn"}, States: []string{"travel", "close_brake"}}
	var err error
	p.found, err = probe.Run(ctx, p.ready, p.options, nil)
	require.NoError(t, err)
	cancel()
	p.search, err = newSearch(ctx, p, func(int, int) {})
	require.ErrorIs(t, err, context.Canceled)
	assert.Contains(t, newReportPage(clitest.PlainScreen(80, false), p).text(), "interrupted")
	var stderr bytes.Buffer
	s := &session{app: &command.App{Stderr: &stderr}, flags: &probeFlags{}, plan: p.plan}
	assert.Equal(t, command.Exit(command.ExitInterrupted), s.exit(p, true))
	s.reportInterrupted(p)
	assert.Contains(t, stderr.String(), "for --worst; the search starts again next time")
}
