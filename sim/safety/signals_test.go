package safety

import (
	"reflect"
	"testing"
	"time"

	"github.com/stretchr/testify/require"
)

// changedFields calls a function with the image while one of its fields after the other is not
// zero: of nested structs and arrays each element.
func changedFields(v reflect.Value, changed func(path string)) {
	for i := range v.NumField() {
		f, name := v.Field(i), v.Type().Field(i).Name
		switch f.Kind() {
		case reflect.Struct:
			changedFields(f, changed)
			continue
		case reflect.Array:
			for k := range f.Len() {
				f.Index(k).SetInt(int64(time.Second))
				changed(name)
				f.Index(k).SetZero()
			}
			continue
		case reflect.Bool:
			f.SetBool(true)
		case reflect.String:
			f.SetString(CauseMoved)
		case reflect.Uint8:
			f.SetUint(1)
		case reflect.Float64:
			f.SetFloat(1)
		default:
			f.SetInt(int64(time.Second))
		}
		changed(name)
		f.SetZero()
	}
}

// Every field of both images is a signal, and a signal shows one field: a field that is added has
// to be described.
func TestEveryFieldIsASignal(t *testing.T) {
	var in Inputs
	inputs := InputSignals()
	n := 0
	changedFields(reflect.ValueOf(&in).Elem(), func(path string) {
		require.NotEqual(t, inputs[n].in(&Inputs{}), inputs[n].in(&in), "%s should be %s", path, inputs[n].Name)
		n++
	})
	require.Len(t, inputs, n)

	var out Outputs
	outputs := OutputSignals()
	n = 0
	changedFields(reflect.ValueOf(&out).Elem(), func(path string) {
		require.NotEqual(t, outputs[n].out(&Outputs{}), outputs[n].out(&out), "%s should be %s", path, outputs[n].Name)
		n++
	})
	require.Len(t, outputs, n)
}

// A name ends with the unit of its number, and every signal has a note.
func TestSignalsHaveNoteAndUnit(t *testing.T) {
	for _, s := range append(InputSignals(), OutputSignals()...) {
		require.NotEmpty(t, s.Note, s.Name)
		require.Equal(t, s.Words != nil, s.Kind == KindWord, s.Name)
		if s.Unit != "" {
			require.Equal(t, KindNumber, s.Kind, s.Name)
			end := map[string]string{"A": "_a", "s": "_s", "mm/s": "_mm_s"}[s.Unit]
			require.NotEmpty(t, end, s.Name)
			require.Equal(t, end, s.Name[max(0, len(s.Name)-len(end)):])
		}
	}
}
