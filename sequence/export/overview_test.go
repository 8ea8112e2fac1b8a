package export_test

import (
	"context"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/sequence"
	"holdbench/sequence/export"
)

// The overview of a group has the number of each transition and no condition, which the table of transitions has,
// and fits on a sheet of A4 with letters of 4.5 points, the drawing's 9 at a scale of 0.5.
func TestOverviewFitsOnASheet(t *testing.T) {
	t.Parallel()
	const wide, tall, scale = 518.0, 765.0, 0.5 // points, less the margins of the record
	p := compiled(t, string(sequence.Reference()))
	var all []string
	for _, group := range export.Groups() {
		svg, err := export.Overview(context.Background(), p, heading(), group)
		require.NoError(t, err)
		size := regexp.MustCompile(`<svg width="([0-9.]+)pt" height="([0-9.]+)pt"`).FindSubmatch(svg)
		require.NotNil(t, size)
		for i, room := range []float64{wide, tall} {
			got, err := strconv.ParseFloat(string(size[i+1]), 64)
			require.NoError(t, err)
			assert.LessOrEqual(t, got*scale, room, group)
		}
		all = append(all, textsOf(t, svg)...)
	}
	text := strings.Join(all, "\n")
	for i, s := range p.States() {
		assert.Regexp(t, fmt.Sprintf(`(?m)^%d %s\b`, i+1, s.Name), text)
		for k := range s.Edges {
			assert.Regexp(t, fmt.Sprintf(`\bT%d\.%d\b`, i+1, k+1), text)
		}
	}
	assert.NotContains(t, text, "standstill", "a condition")
}
