package st_test

import (
	"testing"
	"time"

	"github.com/stretchr/testify/require"

	"holdbench/sequence/st"
)

// compiled is a text without errors.
func compiled(tb testing.TB, text string) *st.Program {
	tb.Helper()
	p, _, err := st.Compile("test.st", text)
	require.NoError(tb, err, text)
	return p
}

// machine is an instance of the last block of a text.
func machine(tb testing.TB, text string) *bench {
	tb.Helper()
	p := compiled(tb, text)
	m, err := p.New(p.Blocks[len(p.Blocks)-1])
	require.NoError(tb, err)
	return &bench{Machine: m, t: tb}
}

// bench runs a program and reaches its variables by name.
type bench struct {
	*st.Machine
	t   testing.TB
	now time.Duration
}

func (b *bench) ref(path string) st.Ref {
	b.t.Helper()
	r, err := b.Program().Find(b.Block(), path)
	require.NoError(b.t, err)
	return r
}

func (b *bench) get(path string) string {
	b.t.Helper()
	return b.Format(b.ref(path))
}

func (b *bench) set(path string, v any) {
	b.t.Helper()
	var err error
	switch v := v.(type) {
	case bool:
		err = b.SetBool(b.ref(path), v)
	case int:
		err = b.SetInt(b.ref(path), int64(v))
	case float64:
		err = b.SetReal(b.ref(path), v)
	case time.Duration:
		err = b.SetTime(b.ref(path), v)
	case string:
		err = b.SetText(b.ref(path), v)
	}
	require.NoError(b.t, err)
}

// scan runs one scan and lets 1 ms pass.
func (b *bench) scan() {
	b.t.Helper()
	require.NoError(b.t, b.Scan(b.now))
	b.now += time.Millisecond
}

// value is what an expression gives as a type, as it would be written.
func value(t *testing.T, declarations, kind, expression string) string {
	t.Helper()
	b := machine(t, "PROGRAM test VAR result : "+kind+"; END_VAR "+declarations+" result := "+expression+"; END_PROGRAM")
	b.scan()
	return b.get("result")
}

// fails is the error of the run of a program.
func fails(t *testing.T, text string) error {
	t.Helper()
	b := machine(t, text)
	err := b.Scan(0)
	require.Error(t, err, text)
	var stop *st.RuntimeError
	require.ErrorAs(t, err, &stop)
	require.Equal(t, err, b.Scan(0), "a program that has failed stays so")
	return err
}
