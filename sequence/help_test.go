package sequence

import (
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"
)

const scan = 2 * time.Millisecond

func document(tb testing.TB, text string) Document {
	tb.Helper()
	var d Document
	require.NoError(tb, yaml.UnmarshalWithOptions([]byte(text), &d, yaml.Strict()))
	return d
}

func program(tb testing.TB, text string) *Program {
	tb.Helper()
	p, err := Compile(document(tb, text), nil)
	require.NoError(tb, err)
	return p
}

// bench runs a machine scan by scan and records what it did.
type bench struct {
	t   testing.TB
	m   *Machine
	in  Inputs
	out Outputs
}

func newBench(tb testing.TB, text string) *bench {
	tb.Helper()
	return &bench{t: tb, m: NewMachine(program(tb, text), scan)}
}

func (b *bench) scan() Fired {
	b.t.Helper()
	fired, err := b.m.Scan(&b.in, &b.out)
	require.NoError(b.t, err)
	return fired
}

// scansUntil counts the scans up to and with the one that fires.
func (b *bench) scansUntil(limit int) int {
	b.t.Helper()
	for n := 1; n <= limit; n++ {
		if b.scan().OK {
			return n
		}
	}
	return 0
}
