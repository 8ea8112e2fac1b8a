package showcmd

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// Everything in our lists has a meaning.
func TestEverythingIsExplained(t *testing.T) {
	for _, l := range listings() {
		rows := l.rows()
		assert.NotEmpty(t, rows, l.kind)
		for _, r := range rows {
			assert.True(t, r.Note != "" || r.Title != "", "%s: %s", l.kind, r.Name)
		}
	}
}
