package sequence

import (
	"fmt"
	"reflect"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
)

// full is a document in which no field is empty and every list has two items.
func full() Document {
	edges := func(to string) []Transition {
		return []Transition{
			{To: to, When: "trigger", For: "1s", After: "2s", Times: "3", Cause: "some"},
			{To: "b", When: "cancel", For: "3s", After: "4s", Times: "5", Cause: "other"},
		}
	}
	state := func(name string) State {
		return State{
			Name: name, Note: "n", Keep: Keeps{{"k_nm", "torque_nm"}, {"l", "proof"}}, Set: Settings{{"alarm", "x"}, {"ask", "down"}},
			Go: edges("a"), OptOut: []string{"a", "b"}, SlipsBrake: true,
		}
	}
	return Document{
		Sequence: "s", Note: "n", Start: "a", AfterPowerLoss: "b",
		Params: Params{{Name: "x_mm", Value: "1"}, {Name: "y_mm", Value: "2"}}, Roles: Roles{{"test_position", "x_mm"}, {"support_position", "y_mm"}},
		States: States{state("a"), state("b")},
		Any:    edges("b"), Ends: Ends{{"a", "pass"}, {"b", "fail"}},
	}
}

// Every value of a document and the length of every list are part of its digest: any change
// makes another document.
func TestContentTellsDocumentsApart(t *testing.T) {
	t.Parallel()
	d := full()
	seen := map[string]string{string(d.appendTo(nil)): "as it was"}
	count := 0
	different := func(what string) {
		key := string(d.appendTo(nil))
		assert.Empty(t, seen[key], "%s changes nothing", what)
		seen[key] = what
		count++
	}
	changeEach(reflect.ValueOf(&d).Elem(), "document", different)
	assert.Equal(t, full(), d, "all changes were taken back")
	assert.Greater(t, count, 60)
}

// changeEach changes one value after the other and reverts each change.
func changeEach(v reflect.Value, path string, changed func(string)) {
	switch v.Kind() {
	case reflect.String:
		before := v.String()
		v.SetString(before + "'")
		changed(path)
		v.SetString(before)
	case reflect.Bool:
		v.SetBool(!v.Bool())
		changed(path)
		v.SetBool(!v.Bool())
	case reflect.Slice:
		before := v.Slice(0, v.Len())
		v.Set(before.Slice(0, 1))
		changed(path + " cut short")
		v.Set(before)
		for i := range v.Len() {
			changeEach(v.Index(i), fmt.Sprintf("%s[%d]", path, i), changed)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			changeEach(v.Field(i), path+"."+v.Type().Field(i).Name, changed)
		}
	}
}

// The digest separates texts that follow each other, and values.
func TestContentKeepsTextsApart(t *testing.T) {
	t.Parallel()
	a, b := Document{Sequence: "ab", Note: "c"}, Document{Sequence: "a", Note: "bc"}
	assert.NotEqual(t, a.appendTo(nil), b.appendTo(nil))
	assert.NotEqual(t, Values{"a": "bc"}.appendTo(nil), Values{"ab": "c"}.appendTo(nil))
	assert.Equal(t, Values{"a": "1", "b": "2"}.appendTo(nil), Values{"b": "2", "a": "1"}.appendTo(nil))
}

// A clone shares no list with its document.
func TestDocumentClone(t *testing.T) {
	t.Parallel()
	d := full()
	clone := d.Clone()
	require.Equal(t, d, clone)
	changeEach(reflect.ValueOf(&clone).Elem(), "document", func(what string) {
		assert.Equal(t, full(), d, what)
	})
}

// A program does not change with its document, and each set of values has its own.
func TestCompileOnceByContent(t *testing.T) {
	t.Parallel()
	d := document(t, sound)
	first, err := Compile(d, nil)
	require.NoError(t, err)
	again, err := Compile(document(t, sound), nil)
	require.NoError(t, err)
	assert.Same(t, first, again)

	other, err := Compile(d, Values{"goal_mm": "300"})
	require.NoError(t, err)
	assert.NotSame(t, first, other)
	goal, _ := other.About().Param("goal_mm")
	assert.InDelta(t, 300, goal.Number, 0)
	goal, _ = first.About().Param("goal_mm")
	assert.InDelta(t, 400, goal.Number, 0)

	d.Params[0].Value, d.States[0].Name = "7", "other"
	assert.Equal(t, document(t, sound), first.Document())
}

// The list that Vet returns may be changed by the caller.
func TestVetGivesProblemsAway(t *testing.T) {
	t.Parallel()
	d := Document{Sequence: "a"}
	found := vetted(d, nil)
	require.NotEmpty(t, found)
	want := found[0]
	found[0] = problem.Problem{}
	assert.Equal(t, want, vetted(d, nil)[0])
}

func TestStoreIsBounded(t *testing.T) {
	t.Parallel()
	s := store[int]{limit: 10}
	for i := range 50 {
		key := digest{byte(i)}
		require.Equal(t, i, s.get(key, func() int { return i }))
		require.Equal(t, i, s.get(key, func() int { return -1 }), "it is known")
		require.LessOrEqual(t, len(s.known), 10)
	}
}
