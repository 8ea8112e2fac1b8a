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

// inventedEdges is a probe with edges: nothing of it was run.
func inventedEdges(t *testing.T) *probing {
	t.Helper()
	p := inventedProbing(t)
	edge := func(fault, state string, number, share float64, kind probe.Kind, excused bool) {
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
		p.edges = append(p.edges, e)
	}
	edge("lining-worn", "press_down", 0.31, 0.733, probe.Missed, false)
	edge("load-heavier", "", 1.03, 0, probe.Broken, false)
	edge("lining-worn", "a_state_with_a_name_that_goes_on_and_on", 0.4512, 0.498, probe.Broken, false)
	edge("lining-worn", "clamp", 0.74, 0.017, probe.Dropped, true)
	p.sought, p.searched, p.toSearch = true, 9, 12
	return p
}

// The edges as they were last looked at and found good.
func TestProbeWorstPages(t *testing.T) {
	for name, s := range map[string]*page.Screen{
		"worst-80": clitest.PlainScreen(80, false), "worst-80-ascii": clitest.PlainScreen(80, true), "worst-120": clitest.PlainScreen(120, false),
	} {
		t.Run(name, func(t *testing.T) {
			v := inventedEdges(t).page(s)
			v.worst()
			got := v.String()
			clitest.KeepsToThePage(t, got, s.Width, s.ASCII)
			clitest.Golden(t, "probe", name+".txt", got)
		})
	}
	p := inventedProbing(t)
	assert.NotContains(t, p.page(clitest.PlainScreen(80, false)).text(), "how mild", "nobody asked")
}

// A fault is shown by the mildest that somebody must look at, not by one that nobody could
// have prevented.
func TestTheMildestEdge(t *testing.T) {
	groups := inventedEdges(t).edgeGroups()
	require.Len(t, groups, 2)
	assert.Equal(t, "lining-worn", groups[0].fault)
	require.Len(t, groups[0].edges, 3)
	assert.InDelta(t, 0.4512, groups[0].mildest().Number, 0)
	groups[0].edges = groups[0].edges[2:]
	assert.Equal(t, "clamp", groups[0].mildest().State)
}

func TestProbeWorstHTML(t *testing.T) {
	p := inventedEdges(t)
	var b bytes.Buffer
	require.NoError(t, writeProbeHTML(&b, p))
	got := b.String()
	linksLead(t, got)
	assert.Contains(t, got, "<h2>How mild it may be</h2>")
	for i := range p.edges {
		assert.Contains(t, got, commandLine(p.again, &p.edges[i].Cell))
	}
	b.Reset()
	require.NoError(t, writeProbeHTML(&b, inventedProbing(t)))
	assert.NotContains(t, b.String(), "How mild it may be")
}

// A search that is interrupted prints what it has found, and the probe stays whole.
func TestProbeWorstInterrupted(t *testing.T) {
	ctx, cancel := context.WithCancel(t.Context())
	p := inventedProbing(t)
	p.app, p.options.Faults, p.found.Outcomes = &command.App{Stderr: &bytes.Buffer{}, Env: func(string) string { return "" }}, []string{"lining-worn"}, nil
	p.flags.worst = true
	m, err := probe.Run(ctx, p.ready, probe.Options{Faults: p.options.Faults, States: []string{"travel", "clamp"}}, nil)
	require.NoError(t, err)
	p.found = m
	cancel()
	require.ErrorIs(t, p.search(ctx), context.Canceled)
	got := p.page(clitest.PlainScreen(80, false)).text()
	assert.Contains(t, got, "interrupted")
	assert.Equal(t, command.Exit(command.ExitInterrupted), p.exit(true))
	p.tellInterrupted()
	assert.Contains(t, p.app.Stderr.(*bytes.Buffer).String(), "for --worst; they begin anew next time")
}
