package vcd

import (
	"bytes"
	"io"
	"math"
	"testing"
	"time"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

func variables() []Variable {
	return []Variable{{"", "state", Integer}, {"inputs", "proof", Wire}, {"inputs", "torque_nm", Real}, {"truth", "load_mm", Real}}
}

// All values stand at the first moment, afterwards what changes, and the last moment is told
// (IEEE 1364-2005, 18.2).
func TestDump(t *testing.T) {
	t.Parallel()
	var out bytes.Buffer
	d, err := New(&out, Heading{Version: "v 1", Comments: []string{"of\n$end it"}, Top: "bench", Tick: 250 * time.Microsecond}, variables())
	require.NoError(t, err)
	require.NoError(t, d.Moment(0, []float64{5, 0, -0.1, 200}))
	require.NoError(t, d.Moment(2*time.Millisecond, []float64{5, 0, -0.1, 200}))
	require.NoError(t, d.Comment("state: 6 \"new\""))
	require.NoError(t, d.Moment(4*time.Millisecond, []float64{6, 1, math.Inf(-1), 200}))
	require.NoError(t, d.Moment(6*time.Millisecond, []float64{6, 1, math.NaN(), 200}))
	require.NoError(t, d.Moment(8*time.Millisecond, []float64{6, 1, math.NaN(), 200}))
	require.NoError(t, d.Close())
	assert.Equal(t, `$version v 1 $end
$comment of $ end it $end
$timescale 10 us $end
$scope module bench $end
$var integer 32 ! state $end
$scope module inputs $end
$var wire 1 " proof $end
$var real 64 # torque_nm $end
$upscope $end
$scope module truth $end
$var real 64 $ load_mm $end
$upscope $end
$upscope $end
$enddefinitions $end
#0
$dumpvars
b101 !
0"
r-0.1 #
r200 $
$end
$comment state: 6 "new" $end
#400
b110 !
1"
r-inf #
#600
rnan #
#800
`, out.String())
}

func TestTimescale(t *testing.T) {
	t.Parallel()
	for tick, want := range map[time.Duration]string{
		time.Second: "1 s", 20 * time.Millisecond: "10 ms", 8 * time.Millisecond: "1 ms", 250 * time.Microsecond: "10 us",
		100 * time.Microsecond: "100 us", 125 * time.Microsecond: "1 us", 62500: "100 ns", 1: "1 ns",
	} {
		unit, scale, err := timescale(tick)
		require.NoError(t, err)
		assert.Equal(t, want, scale)
		assert.Zero(t, tick%unit)
	}
}

func TestCodesAreUnique(t *testing.T) {
	t.Parallel()
	seen := map[string]bool{}
	for i := range 10000 {
		assert.Regexp(t, `^[!-~]{1,3}$`, code(i))
		seen[code(i)] = true
	}
	assert.Len(t, seen, 10000)
}

func TestRefused(t *testing.T) {
	t.Parallel()
	h := Heading{Top: "bench", Tick: time.Millisecond}
	_, err := New(io.Discard, Heading{Top: "bench"}, nil)
	require.EqualError(t, err, "a tick of 0s; must be above 0")
	_, err = New(io.Discard, h, []Variable{{"", "load mm", Real}})
	require.EqualError(t, err, `a variable "load mm"; must be letters, digits and _`)
	d, err := New(io.Discard, h, variables())
	require.NoError(t, err)
	require.EqualError(t, d.Moment(0, nil), "0 values for 4 variables")
	require.EqualError(t, d.Moment(0, []float64{0, 2, 0, 0}), "proof is 2; must be 0 or 1")
	require.EqualError(t, d.Moment(0, []float64{0.5, 1, 0, 0}), "state is 0.5; must be a whole number of 31 bits")
	require.EqualError(t, d.Moment(1500*time.Microsecond, []float64{0, 1, 0, 0}), "a moment at 1.5ms; must be a later multiple of 1ms")
	require.NoError(t, d.Moment(time.Millisecond, []float64{0, 1, 0, 0}))
	require.EqualError(t, d.Moment(time.Millisecond, []float64{0, 1, 0, 0}), "a moment at 1ms; must be a later multiple of 1ms")
}
