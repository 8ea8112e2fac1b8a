package plant

import (
	"crypto/sha256"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// The sum is the same on every machine. Whoever changes the arithmetic of a tick changes it, and with it
// which parts of a sweep belong together.
func TestSelfTest(t *testing.T) {
	t.Parallel()
	assert.Equal(t, "338f73f30367f01a", SelfTest())
}

// The rigs are valid, and their runs go through what a tick can do: brakes that slip, guides that
// slide, currents that settle elsewhere.
func TestSelfTestCoversATick(t *testing.T) {
	t.Parallel()
	for i, rig := range selfTestRigs() {
		_, err := Validate(&rig)
		require.NoError(t, err)
		p := New(rig, 1)
		sumOfRun(sha256.New(), p)
		assert.Positive(t, p.state.SlipWorkJ, "rig %d: the brake has not slipped", i)
		assert.NotZero(t, p.state.GuideDeflectionRad, "rig %d: the guide has not moved", i)
		assert.NotEqual(t, rig.Brake.AmbientC, p.state.BrakeTempC, i)
	}
}

func BenchmarkSelfTest(b *testing.B) {
	for b.Loop() {
		SelfTest()
	}
}
