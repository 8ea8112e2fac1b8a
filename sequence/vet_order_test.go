package sequence

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

// The transitions that cover others are found as by comparing each with all before it.
func TestCoveredAsByComparingAll(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		term := rapid.SampledFrom([]string{"a", "b", "c", "d"})
		edges := make([]*Edge, rapid.IntRange(0, 8).Draw(t, "transitions"))
		for i := range edges {
			terms := rapid.SliceOfNDistinct(term, 0, 3, rapid.ID).Draw(t, "terms")
			edges[i] = &Edge{
				Event: strconv.Itoa(i), conjuncts: terms, Times: rapid.IntRange(-1, 0).Draw(t, "times"),
				For: Span{Time: time.Duration(rapid.IntRange(0, 1).Draw(t, "for"))}, After: Span{Time: time.Duration(rapid.IntRange(0, 1).Draw(t, "after"))},
			}
		}
		covers := func(a, b *Edge) bool {
			return a.Times < 0 && a.For.Time <= b.For.Time && a.After.Time <= b.After.Time &&
				!slices.ContainsFunc(a.conjuncts, func(term string) bool { return !slices.Contains(b.conjuncts, term) })
		}
		for i, got := range coveredBy(edges) {
			var want *Edge
			for _, earlier := range edges[:i] {
				if covers(earlier, edges[i]) {
					want = earlier
					break
				}
			}
			assert.Same(t, want, got, "transition %d of %v", i, edges)
		}
	})
}

// many is a document with a state that has many transitions.
func many(tb testing.TB, n int, condition func(i int) string) Document {
	tb.Helper()
	var b strings.Builder
	b.WriteString("sequence: many\nstart: a\nstates:\n  a:\n    set: {drive: hold}\n    go:\n      - {to: b, when: proof}\n  b:\n    go:\n")
	for i := range n {
		fmt.Fprintf(&b, "      - {to: done, when: %s}\n", condition(i))
	}
	b.WriteString("      - {to: done, after: 1s}\n  done: {}\nends: {done: pass}\n")
	return document(tb, b.String())
}

// shapes are the conditions of the states with many transitions.
func shapes() map[string]func(i int) string {
	joined := func(i int) string {
		var terms []string
		for n := range 4 {
			terms = append(terms, fmt.Sprintf("position_mm > %d", n))
		}
		return strings.Join(append(terms, fmt.Sprintf("torque_nm > %d", i)), " and ")
	}
	return map[string]func(i int) string{
		"comparison": func(i int) string { return fmt.Sprintf("position_mm > %d", i) },
		"negated":    func(i int) string { return fmt.Sprintf("not (position_mm > %d)", i) },
		"joined":     joined,
	}
}

// A state with many transitions is checked in a time that grows with their number and not with its square. What
// is allocated does not depend on the machine, and grew with the square of negated conditions. The benchmark has
// the times.
func TestManyTransitions(t *testing.T) {
	for name, condition := range shapes() {
		t.Run(name, func(t *testing.T) {
			allocated := func(n int) float64 {
				d := many(t, n, condition)
				return testing.AllocsPerRun(1, func() {
					d.Note += "." // or the answer is remembered
					_, err := d.Vet(nil)
					require.NoError(t, err)
				})
			}
			assert.Less(t, allocated(400)/allocated(100), 4.5)
		})
	}
}

func BenchmarkVetTransitions(b *testing.B) {
	for name, condition := range shapes() {
		for _, n := range []int{100, 200, 400, 800} {
			b.Run(fmt.Sprintf("%s/%d", name, n), func(b *testing.B) {
				d := many(b, n, condition)
				for i := 0; b.Loop(); i++ {
					d.Note = strconv.Itoa(i) // or the answer is remembered
					_, _ = d.Vet(nil)
				}
			})
		}
	}
}
