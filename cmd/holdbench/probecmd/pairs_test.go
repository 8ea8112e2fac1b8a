package probecmd

import (
	"bytes"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/sim"
	"holdbench/sim/catalogue"
	"holdbench/sim/probe"
)

// inventedPairs is a probe of two faults at once with more faults than fit beside each
// other: nothing of it was run.
func inventedPairs(t *testing.T) *report {
	t.Helper()
	p := inventedReport(t)
	m := p.found
	p.options.Pairs, p.head.Pairs = true, true
	m.Faults, m.Outcomes, m.Plan = nil, nil, probe.Extent{Runs: 190, Pairs: 421, All: 31415}
	var groups []string
	for _, f := range catalogue.Entries()[:20] {
		m.Faults, groups = append(m.Faults, f.Name), append(groups, f.Group)
	}
	for b := range m.Faults {
		for a := range b {
			o := inventedOutcome(m.Faults[b], groups[b], m.States[(a+b)%30], probe.Midway)
			o.With, o.Route = m.Faults[a], []string{m.Faults[a] + "=0.5@" + o.State}
			m.Outcomes = append(m.Outcomes, o)
		}
	}
	at := func(i int, kind probe.Kind, class sim.Class, broken ...string) {
		o := &m.Outcomes[i]
		o.Kind, o.Class, o.Broken = kind, class, append([]string{}, broken...)
	}
	at(3, probe.Missed, sim.Missed)
	at(60, probe.Missed, sim.Missed)
	at(100, probe.Dropped, sim.Caught, sim.NoDrop)
	m.Outcomes[100].Unpreventable = true
	m.Outcomes[7].NeverCame = true
	p.known = len(m.Outcomes)
	return p
}

// The page of two faults at once as it was last looked at and found good.
func TestProbePairsPages(t *testing.T) {
	for name, s := range map[string]*page.Screen{
		"pairs-80": clitest.PlainScreen(80, false), "pairs-80-ascii": clitest.PlainScreen(80, true), "pairs-120": clitest.PlainScreen(120, false),
	} {
		t.Run(name, func(t *testing.T) {
			got := newReportPage(s, inventedPairs(t)).text()
			clitest.KeepsToThePage(t, got, s.Width, s.ASCII)
			clitest.Golden(t, "probe", name+".txt", got)
		})
	}
}

// Every two faults that were tried are in exactly one block, by their numbers.
func TestTriangleHasEveryPair(t *testing.T) {
	p := inventedPairs(t)
	x := newTriangle(p.found)
	require.Len(t, x.faults, 20)
	n := 0
	for row := range x.faults {
		for column := range x.faults {
			o := x.worst(row, column)
			if column >= row {
				assert.Nil(t, o, "nothing stands on the diagonal, and every pair stands once")
				continue
			}
			require.NotNil(t, o)
			assert.ElementsMatch(t, []string{x.name(row), x.name(column)}, []string{o.Fault, o.With})
			n++
		}
	}
	text := newReportPage(clitest.PlainScreen(80, false), p).text()
	_, text, _ = strings.Cut(text, "worst of every two faults")
	text, _, _ = strings.Cut(text, "\nM  missed")
	shown := 0
	for line := range strings.Lines(text) {
		if words := strings.Fields(line); len(words) > 1 && strings.Trim(words[0], "0123456789") == "" {
			shown += len(words) - 2 // without number and name
		}
	}
	assert.Equal(t, n, shown)
}

func TestProbePairsHTML(t *testing.T) {
	p := inventedPairs(t)
	var b bytes.Buffer
	require.NoError(t, writeHTML(&b, p))
	got := b.String()
	linksLead(t, got)
	for _, o := range p.found.Outcomes {
		if o.Kind != probe.Fine {
			assert.Contains(t, got, `href="#`+o.Fault+`.`+o.With+`"`)
		}
	}
	assert.Contains(t, got, "190 runs cover 421 pairs of values")
	assert.Contains(t, got, "In 1 cell the second fault never occurred")
	assert.Equal(t, 19, strings.Count(got, `<th scope="col"><span>`), "a column for each fault but the last")
}

// linksLead wants every link of a page to have one place to go to.
func linksLead(t *testing.T, page string) {
	t.Helper()
	for _, link := range regexp.MustCompile(`href="#([^"]*)"`).FindAllStringSubmatch(page, -1) {
		assert.Equal(t, 1, strings.Count(page, ` id="`+link[1]+`"`), link[1])
	}
	for _, id := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		assert.Equal(t, 1, strings.Count(page, ` id="`+id[1]+`"`), id[1])
	}
}

// Of two plans a pair that only one has says nothing; one that both have counts.
func TestProbePairsBaseline(t *testing.T) {
	p := inventedPairs(t)
	was := inventedPairs(t).found.Outcomes
	c := &comparison{p, &baseline{path: "before.jsonl", head: p.head, outcomes: slices.Clone(was[10:]), whole: true}}
	require.Equal(t, probe.Missed, p.found.Outcomes[3].Kind)
	assert.Empty(t, c.differences(), "what is missed is not in the earlier plan")
	c.was.outcomes[50].Kind = probe.Fine
	list := c.differences()
	require.Len(t, list, 1)
	assert.True(t, list[0].Worse())
	text := newChangesPage(clitest.PlainScreen(80, false), c).text()
	assert.Contains(t, text, "The pairs are planned for each sequence;")
	assert.Contains(t, text, "\n"+faultName(&was[60].Cell)+", ")
}
