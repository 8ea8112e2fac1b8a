package plant

import (
	"testing"

	"github.com/stretchr/testify/assert"
)

// No range of the table is in a notation of computers.
func TestRangesAreReadable(t *testing.T) {
	t.Parallel()
	for _, f := range Fields() {
		assert.NotRegexp(t, `e\+|e-0|\b[1-9]\d{4}|h\d+m\d+s.*h\d+m\d+s|\d{4}h`, f.Range(), f.Key)
	}
}
