package scenarios

import (
	"encoding/json"
	"math"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml"
	"github.com/goccy/go-yaml/ast"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/plant"
	"holdbench/sequence"
	"holdbench/sim"
)

// Any scenario that is written is read as the same scenario.
func TestFormatRoundTrip(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		want := drawScenario(t)
		text, err := Format(&want, drawText(t, "header"))
		require.NoError(t, err)
		requireSameScenario(t, want, readScenario(t, text))
		again := readScenario(t, text)
		repeated, err := Format(&again, "")
		require.NoError(t, err)
		require.Equal(t, withoutComments(text), withoutComments(repeated), "written, read and written again")
	})
}

// Every built-in document, written and read, is the scenario that it was.
func TestFormatBuiltin(t *testing.T) {
	t.Parallel()
	for _, e := range Builtin(ScenarioKind) {
		_, text, err := e.read()
		require.NoError(t, err)
		want := readScenario(t, text)
		written, err := Format(&want, "")
		require.NoError(t, err, e.Name)
		requireSameScenario(t, want, readScenario(t, written))
		for _, line := range strings.Split(string(written), "\n") {
			require.LessOrEqual(t, len([]rune(line)), lineWidth, "%s: %s", e.Name, line)
		}
	}
}

// A scenario that was kept runs as it did, and its own run meets what is expected.
func TestFormatTriedRunsTheSame(t *testing.T) {
	t.Parallel()
	for _, name := range []string{"healthy-down-and-up", "stale-verdict-accepted", "transmission-severed", "link-lost-for-some-scans", "hot-brake"} {
		c, _, err := LoadCase(name, Overrides{Seed: 7, Set: map[string]string{"judge.window_deg": "1.4"}})
		require.NoError(t, err)
		before, err := sim.Run(c, nil)
		require.NoError(t, err)
		text, err := FormatTried(&c.Scenario, before, "kept from a session")
		require.NoError(t, err)
		file := filepath.Join(t.TempDir(), "kept.yaml")
		require.NoError(t, Save(file, text, false))
		kept, _, err := LoadCase(file, Overrides{})
		require.NoError(t, err)
		after, err := sim.Run(kept, nil)
		require.NoError(t, err)
		for _, x := range after.Expectations {
			require.True(t, x.Met, "%s: %s: want %s, got %s", name, x.Name, x.Want, x.Got)
		}
		before.Expectations, after.Expectations = nil, nil
		require.JSONEq(t, asJSON(t, before), asJSON(t, after))
	}
}

func asJSON(t *testing.T, r *sim.Result) string {
	t.Helper()
	text, err := json.Marshal(r)
	require.NoError(t, err)
	return string(text)
}

// A rig and a sequence written in place give the same rig and the same sequence.
func TestFormatInPlace(t *testing.T) {
	t.Parallel()
	for _, kind := range []Kind{RigKind, SequenceKind} {
		for _, e := range Builtin(kind) {
			name, text, err := e.read()
			require.NoError(t, err)
			src, err := read(name, text)
			require.NoError(t, err)
			if src.isBinding(src.root()) {
				continue // it names a program that stands beside it
			}
			s := sim.Scenario{Scenario: "a", Title: "b"}
			s.Rig, s.Sequence = sim.Reference{Name: "pane-hoist"}, sim.Reference{Name: "reference"}
			if kind == RigKind {
				s.Rig = sim.Reference{Text: string(text)}
			} else {
				s.Sequence = sim.Reference{Text: string(text)}
			}
			written, err := Format(&s, "")
			require.NoError(t, err, e.Name)
			got := readScenario(t, written)
			if kind == RigKind {
				require.Equal(t, decoded[plant.Rig](t, src.root()), decoded[plant.Rig](t, rootOf(t, got.Rig.Text)))
			} else {
				want := decoded[sequence.Document](t, src.root())
				for i := range want.Params {
					want.Params[i].Note = "" // a comment, and what is written in place has none
				}
				require.Equal(t, want, decoded[sequence.Document](t, rootOf(t, got.Sequence.Text)))
			}
		}
	}
}

func decoded[T any](t *testing.T, node ast.Node) T {
	t.Helper()
	var value T
	s := &source{name: "part", lines: make([]string, 10000)}
	require.NoError(t, s.decode("$", node, &value))
	return value
}

// Quotes, blocks and brackets of a rig written in place stay what they were: some
// readers distinguish a text below | from one in quotes, and all a number from a text.
func TestFormatInPlaceKeepsKinds(t *testing.T) {
	t.Parallel()
	const text = `scenario: a
title: b
rig:
  mass: "5"
  note: |
    two
      lines, the second set in
    and a third
  more: >-
    folded to one line
  empty: {}
  none: null
  odd: |2
     begins with a space
  list:
    - [a, "b, c", "1.50", 1.50, "true", true]
    - k: v
      "a key: of its own": 1e3
sequence: reference
expect:
  obligations: all
`
	s := readScenario(t, []byte(text))
	written, err := Format(&s, "")
	require.NoError(t, err)
	want := strings.Replace(text, ">-\n", "|-\n", 1) // one short line needs no folding
	require.Equal(t, want, string(written))
}

// Lines below | or > keep their line ends and their spaces, whatever is in them.
func TestFormatInPlaceKeepsLines(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		sign := rapid.SampledFrom([]string{"|", "|-", "|+", ">", ">-", ">+", "|2", ">2-"}).Draw(t, "sign")
		var b strings.Builder
		for range rapid.IntRange(1, 6).Draw(t, "lines") {
			b.WriteString("    " + rapid.StringMatching(`[ a-z#:'"\-]{0,9}|([a-z]{1,9} ){0,30}[a-z]`).Draw(t, "line") + "\n")
		}
		if strings.TrimSpace(b.String()) == "" {
			t.Skip("nothing but blank lines: refused when written")
		}
		src, err := read("doc", []byte("scenario: a\ntitle: b\nrig:\n  note: "+sign+"\n"+b.String()+"sequence: c\nexpect: {obligations: all}\n"))
		if err != nil {
			t.Skip("lines that our reader does not take")
		}
		var want sim.Scenario
		require.NoError(t, src.decode("$", src.root(), &want))
		text, err := Format(&want, "")
		require.NoError(t, err)
		requireSameScenario(t, want, readScenario(t, text))
	})
}

// So do blank lines with which a document in place ends.
func TestFormatInPlaceKeepsBlankLinesAtTheEnd(t *testing.T) {
	t.Parallel()
	src, err := read("doc", []byte("scenario: a\ntitle: b\nrig:\n  note: |+\n\n    a\n\n\nsequence: c\nexpect: {obligations: all}\n"))
	require.NoError(t, err)
	want, err := src.scenario()
	require.NoError(t, err)
	text, err := Format(&want, "")
	require.NoError(t, err)
	requireSameScenario(t, want, readScenario(t, text))
}

// The shape of a document is that of the built-in ones.
func TestFormatShape(t *testing.T) {
	t.Parallel()
	start, late := &sim.Moment{After: 20 * time.Millisecond}, 3*time.Second
	most := 0.5
	s := sim.Scenario{
		Scenario: "oil-while-pressing", Title: "Oil: it reaches the lining",
		Teaches: "What a trainer says about it, in two or three sentences that are longer than one line of a document. It goes on here.\n",
		Rig:     sim.Reference{Name: "pane-hoist"}, Sequence: sim.Reference{Name: "../ours.yaml"}, Seed: 12,
		Set:    map[string]string{"rig.load.mass_kg": "210", "judge.dwell": "1s", "sequence.test_up": "false"},
		Script: []sim.Action{{At: 500 * time.Millisecond, For: 1500 * time.Millisecond, Set: map[string]bool{"trigger": true}}},
		Faults: []sim.Fault{
			{When: &sim.Moment{}, Set: map[string]string{"brake.condition": "0.35"}},
			{When: &sim.Moment{State: "press", After: 200 * time.Millisecond}, For: 250 * time.Microsecond, Set: map[string]string{"encoder.frozen": "true"}},
			{At: &late, Set: map[string]string{"brake.feedback_signal": "closed"}},
			{When: start, Set: map[string]string{"link.down": "true"}},
		},
		Expect: sim.Expect{
			End: "fail", Class: sim.Caught, Within: 90 * time.Second, LoadDropMM: &sim.Bounds{AtMost: &most},
			Obligations: sim.Broken{{Broken: "no-drop", Why: "it drops, as it must"}, {Broken: "carried", Why: strings.Repeat("a long reason ", 8) + "ends"}},
		},
	}
	text, err := format(&s, "Tried on the bench.\n\nLook at it\tagain.", unreviewed)
	require.NoError(t, err)
	require.Equal(t, `# Tried on the bench.
#
# Look at it again.
scenario: oil-while-pressing
title: "Oil: it reaches the lining"
teaches: >
  What a trainer says about it, in two or three sentences that are longer than one line of a
  document. It goes on here.
rig: pane-hoist
sequence: ../ours.yaml
seed: 12
set: {judge.dwell: 1s, rig.load.mass_kg: 210, sequence.test_up: false}
script:
  - {at: 500ms, for: 1.5s, set: {trigger: true}}
faults:
  - {when: start, set: {brake.condition: 0.35}}
  - {when: {state: press, after: 200ms}, for: 250us, set: {encoder.frozen: true}}
  - {at: 3s, set: {brake.feedback_signal: closed}}
  - {at: 20ms, set: {link.down: true}}
expect: # recorded from a run, not reviewed: check each line and decide whether it is right
  end: fail
  class: caught
  within: 90s
  load_drop_mm: {at_most: 0.5}
  obligations:
    - {broken: no-drop, why: "it drops, as it must"}
    - broken: carried
      why: >-
        a long reason a long reason a long reason a long reason a long reason a long reason a long
        reason a long reason ends
`, string(text))
}

// A text is quoted only where necessary.
func TestFormatTexts(t *testing.T) {
	t.Parallel()
	for _, c := range []struct{ text, title, inside string }{
		{"Brake closes late", "Brake closes late", "Brake closes late"},
		{"late, but in time", "late, but in time", `"late, but in time"`},
		{"the partner's brake", "the partner's brake", "the partner's brake"},
		{"at 08:00", "at 08:00", `"at 08:00"`},
		{"40 % of 9 N·m", "40 % of 9 N·m", "40 % of 9 N·m"},
		{"note: it slips", `"note: it slips"`, `"note: it slips"`},
		{"it slips:", `"it slips:"`, `"it slips:"`},
		{"brake #2", `"brake #2"`, `"brake #2"`},
		{"brake#2", "brake#2", "brake#2"},
		{`say "stop"`, `say "stop"`, `say "stop"`},
		{`"stop"`, `"\"stop\""`, `"\"stop\""`},
		{`c:\brakes`, `c:\brakes`, `"c:\\brakes"`},
		{" before", `" before"`, `" before"`},
		{"after ", `"after "`, `"after "`},
		{"- item", `"- item"`, `"- item"`},
		{"--- document", `"--- document"`, `"--- document"`},
		{"...", `"..."`, `"..."`},
		{"[a]", `"[a]"`, `"[a]"`},
		{"a {b}", "a {b}", `"a {b}"`},
		{"&a", `"&a"`, `"&a"`}, {"*a", `"*a"`, `"*a"`}, {"!a", `"!a"`, `"!a"`}, {"%a", `"%a"`, `"%a"`},
		{"@a", `"@a"`, `"@a"`}, {"`a", "\"`a\"", "\"`a\""}, {"|", `"|"`, `"|"`}, {">", `">"`, `">"`}, {"?", `"?"`, `"?"`},
		{"null", `"null"`, `"null"`}, {"~", `"~"`, `"~"`}, {"<<", `"<<"`, `"<<"`},
		{"yes", "yes", "yes"}, {"off", "off", "off"}, {"true", "true", "true"}, {"True", `"True"`, `"True"`},
		{"0.35", "0.35", "0.35"}, {"-0.767", "-0.767", "-0.767"}, {"1e3", "1e3", "1e3"},
		{"1.50", `"1.50"`, `"1.50"`}, {"017", `"017"`, `"017"`}, {"0x1F", `"0x1F"`, `"0x1F"`}, {"1_000", `"1_000"`, `"1_000"`},
		{".nan", `".nan"`, `".nan"`}, {"-.inf", `"-.inf"`, `"-.inf"`},
		{"two\nlines", "|-\n  two\n  lines", `"two\nlines"`},
		{"two\nlines\n", "|\n  two\n  lines", `"two\nlines\n"`},
		{"two\n\n", `"two\n\n"`, `"two\n\n"`},
		{" in\nfirst", `" in\nfirst"`, `" in\nfirst"`},
		{"\n", `"\n"`, `"\n"`},
		{"a\tb", `"a\u0009b"`, `"a\u0009b"`},
		{"a\r\nb", `"a\u000D\nb"`, `"a\u000D\nb"`},
		{"\ufeffa", `"\uFEFFa"`, `"\uFEFFa"`}, {"a\u2028b", `"a\u2028b"`, `"a\u2028b"`}, {"a\u00a0b", `"a\u00A0b"`, `"a\u00A0b"`},
		{"Bremse prüfen", "Bremse prüfen", "Bremse prüfen"}, {"制动器", "制动器", "制动器"}, {"\U000e0001", `"\U000E0001"`, `"\U000E0001"`},
	} {
		s := sim.Scenario{Scenario: "a", Title: c.text, Set: map[string]string{"k": c.text}}
		text, err := Format(&s, "")
		require.NoError(t, err, "%q", c.text)
		want := "scenario: a\ntitle: " + c.title + "\nrig: \"\"\nsequence: \"\"\nset: {k: " + c.inside + "}\nexpect:\n  obligations: all\n"
		assert.Equal(t, want, string(text), "%q", c.text)
	}
}

func TestFormatDurations(t *testing.T) {
	t.Parallel()
	for text, d := range map[string]time.Duration{
		"0s": 0, "0.001us": 1, "0.5us": 500, "250us": 250 * time.Microsecond, "8ms": 8 * time.Millisecond, "1.25ms": 1250 * time.Microsecond,
		"500ms": 500 * time.Millisecond, "1.5s": 1500 * time.Millisecond, "3.00025s": 3*time.Second + 250*time.Microsecond, "90s": 90 * time.Second,
		"61s": 61 * time.Second, "0.5h": 30 * time.Minute, "8h": 8 * time.Hour, "1.5h": 90 * time.Minute, "4500s": 75 * time.Minute,
		"9223372036.854775807s": math.MaxInt64,
	} {
		assert.Equal(t, text, durationText(d))
		back, err := time.ParseDuration(text)
		require.NoError(t, err)
		assert.Equal(t, d, back)
	}
}

// What no document can hold is refused, with its path.
func TestFormatRefuses(t *testing.T) {
	t.Parallel()
	early, nan := -time.Second, math.NaN()
	for _, c := range []struct {
		name, says string
		change     func(s *sim.Scenario)
	}{
		{"NoName", "scenario has no name", func(s *sim.Scenario) { s.Scenario = "" }},
		{"NoTitle", "title is missing", func(s *sim.Scenario) { s.Title = "" }},
		{"NotUTF8", `teaches is "a\xff"; must be UTF-8`, func(s *sim.Scenario) { s.Teaches = "a\xff" }},
		{"KeyNotUTF8", `set has the key "a\xff"; must be UTF-8`, func(s *sim.Scenario) { s.Set = map[string]string{"a\xff": "1"} }},
		{"KeyEmpty", "is not a name", func(s *sim.Scenario) { s.Set = map[string]string{"": "1"} }},
		{"TimeBeforeStart", "must be 0 or more", func(s *sim.Scenario) { s.Faults = []sim.Fault{{At: &early}} }},
		{"NotANumber", "at_most is", func(s *sim.Scenario) { s.Expect.SlipDeg = &sim.Bounds{AtMost: &nan} }},
		{"TooLong", "must be at most", func(s *sim.Scenario) { s.Teaches = strings.Repeat("word ", maxBytes/5) + "end" }},
	} {
		t.Run(c.name, func(t *testing.T) {
			s := sim.Scenario{Scenario: "a", Title: "b"}
			c.change(&s)
			text, err := Format(&s, "")
			require.ErrorContains(t, err, c.says)
			require.ErrorContains(t, err, "cannot write scenario")
			require.Nil(t, text)
		})
	}
}

func readScenario(t require.TestingT, text []byte) sim.Scenario {
	src, err := read("written.yaml", text)
	require.NoError(t, err, "%s", text)
	var s sim.Scenario
	require.NoError(t, src.decode("$", src.root(), &s), "%s", text)
	return s
}

// requireSameScenario compares all but the documents in place as they are, and those by
// what they hold.
func requireSameScenario(t require.TestingT, want, got sim.Scenario) {
	for _, pair := range [][2]*sim.Reference{{&want.Rig, &got.Rig}, {&want.Sequence, &got.Sequence}} {
		require.Equal(t, anyOf(t, pair[0].Text), anyOf(t, pair[1].Text))
		pair[0].Text, pair[1].Text = "", ""
	}
	require.Equal(t, want, got)
}

func anyOf(t require.TestingT, text string) any {
	if text == "" {
		return nil
	}
	var value any
	require.NoError(t, yaml.NodeToValue(rootOf(t, text), &value))
	return value
}

func rootOf(t require.TestingT, text string) ast.Node {
	src, err := read("in place", []byte(text))
	require.NoError(t, err)
	return src.root()
}

func withoutComments(text []byte) string {
	rest := string(text)
	for strings.HasPrefix(rest, "#") {
		_, rest, _ = strings.Cut(rest, "\n")
	}
	return rest
}
