package schema

import (
	"maps"
	"reflect"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"

	"holdbench/scenarios"
	"holdbench/sequence"
)

// keysWithout lists the keys that have no note, by path.
func keysWithout(path string, s *Shape) []string {
	var list []string
	for i := range s.Keys {
		k := &s.Keys[i]
		at := strings.TrimPrefix(path+"."+k.Name, ".")
		if k.Note == "" {
			list = append(list, at)
		}
		list = append(list, keysWithout(at, k.Shape)...)
	}
	for _, inner := range []*Shape{s.Values, s.Items} {
		if inner != nil {
			list = append(list, keysWithout(path+".*", inner)...)
		}
	}
	return list
}

// Every key has its note, so that an editor and the help say what it is. Words of a signal are their own.
func TestEveryKeyHasANote(t *testing.T) {
	t.Parallel()
	for _, d := range Documents() {
		without := slices.DeleteFunc(keysWithout("", Of(d.Name)), func(path string) bool { return strings.Contains(path, ".words.") })
		assert.Empty(t, without, d.Name)
	}
}

// Every note, every special form and every rule is about a key that the reader has.
func TestEveryNoteHasAKey(t *testing.T) {
	t.Parallel()
	known := map[string]bool{}
	var walk func(t reflect.Type)
	walk = func(t reflect.Type) {
		switch t.Kind() {
		case reflect.Pointer, reflect.Slice, reflect.Map:
			walk(t.Elem())
		case reflect.Struct:
			if t == reflect.TypeFor[sequence.Setting]() || known[t.String()] {
				return
			}
			known[t.String()] = true
			for _, k := range scenarios.KeysOf(t) {
				known[t.String()+"."+k.Name] = true
				walk(k.Type)
			}
		}
	}
	for _, d := range Documents() {
		walk(d.read)
	}
	b := newBuilder()
	for _, ids := range [][]string{slices.Collect(maps.Keys(b.notes)), slices.Collect(maps.Keys(b.special)), requiredKeys()} {
		for _, id := range ids {
			assert.True(t, known[id], id)
		}
	}
}
