package runcmd

import (
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/recording"
	"holdbench/sequence"
)

// A word of a recording is a word of the sequence: the reader, which knows no sequence, has the same ones.
func TestRecordedWords(t *testing.T) {
	n := 0
	for _, s := range recording.Signals() {
		if len(s.Words) == 0 {
			continue
		}
		out, ok := sequence.FindOutput(s.Name)
		require.True(t, ok, s.Name)
		assert.Equal(t, out.Words, s.Words, s.Name)
		n++
	}
	assert.Positive(t, n)
}
