package schema_test

import (
	"fmt"
	"maps"
	"slices"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/scenarios"
	"holdbench/scenarios/schema"
)

// What the reader accepts the schema accepts: built-in documents, with one to three values changed, left
// out or put elsewhere. The schema is stricter with an empty text for a word, which the reader takes as
// left out, and with numbers that only quotes allow, such as "0x10". A document that the reader refuses says nothing here.
func TestTheSchemaAcceptsWhatTheReaderAccepts(t *testing.T) {
	t.Parallel()
	texts := builtin(t)
	names := slices.DeleteFunc(slices.Sorted(maps.Keys(texts)), func(name string) bool {
		return name == "accepted" || name == "equivalents" || name == "course" // they are read with what they are about
	})
	all := schemas{}
	accepted := 0
	rapid.Check(t, func(t *rapid.T) {
		name := rapid.SampledFrom(names).Draw(t, "document")
		var document any
		require.NoError(t, yaml.Unmarshal(texts[name], &document))
		for range rapid.IntRange(1, 3).Draw(t, "changes") {
			document = change(t, document)
		}
		text, err := yaml.Marshal(document)
		require.NoError(t, err)
		value, ok := asJSON(text)
		if !ok || !reads(kindOf(value), text) {
			return
		}
		accepted++
		require.NoError(t, all.of(t, kindOf(value)).Validate(value), "%s\n%s", name, text)
	})
	require.Positive(t, accepted)
}

// reads reports whether the reader takes a document.
func reads(kind string, text []byte) bool {
	var err error
	switch kind {
	case schema.Rig:
		_, _, err = scenarios.ParseRig("../rigs/changed.yaml", text)
	case schema.Scenario:
		_, _, err = scenarios.ParseCase("../library/changed.yaml", text, scenarios.Overrides{})
	default:
		_, _, err = scenarios.ParseLogic("../sequences/changed.yaml", text)
	}
	return err == nil
}

// change changes one value somewhere in a document.
func change(t *rapid.T, v any) any {
	deeper := rapid.IntRange(0, 4).Draw(t, "deeper") > 0
	switch v := v.(type) {
	case map[string]any:
		if len(v) == 0 || !deeper {
			break
		}
		key := rapid.SampledFrom(slices.Sorted(maps.Keys(v))).Draw(t, "key")
		if rapid.IntRange(0, 9).Draw(t, "gone") == 0 {
			delete(v, key)
		} else {
			v[key] = change(t, v[key])
		}
		return v
	case []any:
		if len(v) == 0 || !deeper {
			break
		}
		i := rapid.IntRange(0, len(v)-1).Draw(t, "item")
		v[i] = change(t, v[i])
		return v
	}
	return rapid.OneOf(
		rapid.Map(rapid.SampledFrom([]string{
			"start", "all", "0", "1", "0.5", "250us", "2ms", "1.5s", "0s", "+2s", ".5s", "1h30m", "true", "false", "down", "manual", "caught", "fail",
			"trigger", "standstill and brake_closed", "abs(torque_nm) > 1", "brake_time_s", "...", "text with spaces", "- a", "a: b", "é",
		}), func(text string) any { return text }),
		rapid.Map(rapid.SampledFrom([]float64{0, 0.35, 1, 1.5, 2, 3, 20, 100, 0.25, 50000, -1, -0.5}), func(x float64) any { return x }),
		rapid.Map(rapid.IntRange(-3, 40), func(n int) any { return n }),
		rapid.Map(rapid.Bool(), func(on bool) any { return on }),
		rapid.SampledFrom([]any{nil, []any{}, map[string]any{}, []any{"moved", "slipped"}, map[string]any{"at_most": 5}, map[string]any{"state": "travel", "after": "200ms"}}),
	).Draw(t, fmt.Sprintf("in place of %T", v))
}
