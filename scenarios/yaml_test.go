package scenarios

import (
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"github.com/goccy/go-yaml/ast"
	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sequence"
)

// machine is a document with every kind of value that ours have.
type machine struct {
	Name  string             `yaml:"name"`
	Note  string             `yaml:"note,omitempty"`
	Load  machineLoad        `yaml:"load"`
	Dwell time.Duration      `yaml:"dwell"`
	Limit *time.Duration     `yaml:"limit,omitempty"`
	Set   map[string]string  `yaml:"set"`
	Gains map[string]float64 `yaml:"gains"`
	Acts  []machineAct       `yaml:"acts"`
	When  *machineMoment     `yaml:"when"`
	Panic machinePanic       `yaml:"panic"`
	Seed  uint64             `yaml:"seed"`
	Level int8               `yaml:"level"`
}

type machineLoad struct {
	MassKG  float64 `yaml:"mass_kg"`
	StartMM float64 `yaml:"start_mm"`
	Ready   bool    `yaml:"ready"`
	Turns   int     `yaml:"turns"`
}

type machineAct struct {
	At  time.Duration   `yaml:"at"`
	Set map[string]bool `yaml:"set"`
}

// machineMoment reads itself, as documents with short forms do.
type machineMoment struct {
	State string        `yaml:"state"`
	After time.Duration `yaml:"after"`
}

func (m *machineMoment) UnmarshalYAML(node ast.Node) error {
	if _, ok := node.(*ast.StringNode); ok {
		return errors.New("moment is a word; must be a state")
	}
	return nil
}

type machinePanic struct{}

func (*machinePanic) UnmarshalYAML(ast.Node) error { panic("out of order") }

// brief is a problem without file and excerpt.
func brief(err error) []string {
	var all problem.List
	if !errors.As(err, &all) {
		return []string{fmt.Sprintf("not a list of problems: %v", err)}
	}
	lines := []string{}
	for _, p := range all {
		lines = append(lines, fmt.Sprintf("%d:%d %s", p.Line, p.Column, p.Message))
	}
	return lines
}

type broken struct{ name, text, want string }

func testBroken[T any](t *testing.T, tests []broken) {
	t.Helper()
	for _, test := range tests {
		t.Run(test.name, func(t *testing.T) {
			_, _, err := decode[T]("doc.yaml", []byte(test.text))
			require.Equal(t, strings.Split(test.want, "\n"), brief(err))
		})
	}
}

func TestDecodeRefusesText(t *testing.T) {
	t.Parallel()
	testBroken[machine](t, []broken{
		{"Empty", "", "0:0 document is empty; must be " + documentForm},
		{"OnlyComment", "# nothing\n", "0:0 document is empty; must be " + documentForm},
		{"OnlyHeader", "---\n", "0:0 document is empty; must be " + documentForm},
		{"Null", "~", "0:0 document is empty; must be " + documentForm},
		{"Scalar", "hoist", `1:1 document is "hoist"; must be ` + documentForm},
		{"List", "- 1\n- 2\n", "1:1 document is a list; must be " + documentForm},
		{"Tab", "load:\n\tmass_kg: 5\n", "2:1 tab character; must be spaces"},
		{"TabInComment", "name: a #\tb\n", "1:10 tab character; must be spaces"},
		{"Latin1", "name: a\nnote: h\xf6he\n", "2:8 byte 0xf6 is not UTF-8; save the document as UTF-8"},
		{"Escape", "name: \x1b[31m\n", "1:7 control character U+001B; must be removed"},
		{"LoneCarriageReturn", "name: a\rnote: b\n", "1:8 control character U+000D; must be removed"},
		{"Large", "name: " + strings.Repeat("x", 1<<20), "0:0 document has 1048582 bytes; must be at most 1048576"},
		{"ManyKeys", "acts: [" + strings.Repeat("{},", 10000) + "]",
			"0:0 document has 30004 tokens; must have at most 30000"},
		{"DeepBrackets", "name: " + strings.Repeat("[", 9000), "1:46 values are nested more than 40 levels deep here"},
		{"DeepDashes", strings.Repeat("- ", 100), "1:81 values are nested more than 40 levels deep here"},
		{"DeepKeys", staircase(50), "41:42 values are nested more than 40 levels deep here"},
	})
}

func staircase(depth int) string {
	var b strings.Builder
	for i := range depth {
		b.WriteString(strings.Repeat(" ", i) + "a:\n")
	}
	return b.String()
}

func TestDecodeRefusesMoreThanPlain(t *testing.T) {
	t.Parallel()
	testBroken[machine](t, []broken{
		{"SecondDocument", "name: a\n---\nname: b\n", "2:1 a second document begins here; must be one document a file"},
		{"AfterEnd", "---\nname: a\n...\nnote: b\n", "4:1 a second document begins here; must be one document a file"},
		{"Anchor", "name: &a x\n", "1:7 anchors (&name) are not supported; write the value out, or quote text that begins with &"},
		{"Alias", "name: *a\n", "1:7 aliases (*name) are not supported; write the value out, or quote text that begins with *"},
		{"MergeKey", "load:\n  <<: {mass_kg: 1}\n", "2:3 merge keys (<<) are not supported; write the values out"},
		{"Tag", "name: !!binary aGk=\n", "1:7 tags (!name) are not supported; quote text that begins with !"},
		{"TagAtEnd", "load: !x", "1:7 tags (!name) are not supported; quote text that begins with !"},
		{"Directive", "%YAML 1.2\n---\nname: a\n", "1:1 directives (%) are not supported; quote text that begins with %"},
		{"ComplexKey", "? name\n: a\n", "1:1 keys marked with ? are not supported; write key: value"},
		{"NumberKey", "load: {5: 1}\n", "1:8 key 5 is not a name; must be a word such as mass_kg"},
		{"NullKey", "set: {~: 1}\n", "1:7 key nothing is not a name; must be a word such as mass_kg"},
		{"EmptyKey", "set: {'': 1}\n", `1:7 key "" is not a name; must be a word such as mass_kg`},
		{"DoubledKeys", "name: a\nset:\n  x: 1\n  'x': 2\nname: b\n",
			"4:3 key \"x\" is repeated, first given in line 3; must be given once\n5:1 key \"name\" is repeated, first given in line 1; must be given once"},
		{"NotFinite", "gains: {a: .nan, b: -.inf}\nset: {c: .Inf}\n",
			"1:12 .nan is not finite; must be a finite number\n1:21 -.inf is not finite; must be a finite number\n2:10 .Inf is not finite; must be a finite number"},
		{"TooLarge", "set: {a: 1e999}\nload: {mass_kg: -1.5e400}\n",
			"1:10 1e999 is too large; must be a number below 1.8e308\n2:17 -1.5e400 is too large; must be a number below 1.8e308"},
		{"Octal", "set: {a: 017}\n", "1:10 017 would be read as 15; write the decimal number, or quote it as text"},
		{"Hexadecimal", "load: {mass_kg: 0x1F}\n", "1:17 0x1F would be read as 31; write the decimal number, or quote it as text"},
		{"Underscore", "seed: 1_000\n", "1:7 1_000 would be read as 1000; write the decimal number, or quote it as text"},
	})
}

func TestDecodeRefusesKeys(t *testing.T) {
	t.Parallel()
	testBroken[machine](t, []broken{
		{"AtTop", "nme: a\n", `1:1 unknown key "nme"; the nearest valid one is "name"`},
		{"Below", "load:\n  mass: 5\n", `2:3 unknown key "mass" in load; the nearest valid one is "mass_kg"`},
		{"InList", "acts:\n  - at: 1s\n  - att: 2s\n", `3:5 unknown key "att" in acts[1]; the nearest valid one is "at"`},
		{"InOwnReader", "when: {stat: press}\n", `1:8 unknown key "stat" in when; the nearest valid one is "state"`},
		{"All", "nme: a\nlaod: {}\nload: {reddy: true}\n",
			"1:1 unknown key \"nme\"; the nearest valid one is \"name\"\n" +
				"2:1 unknown key \"laod\"; the nearest valid one is \"load\"\n" +
				"3:8 unknown key \"reddy\" in load; the nearest valid one is \"ready\""},
	})
	testBroken[sequence.Document](t, []broken{
		{"InOrderedMap", "sequence: x\nstates:\n  travel:\n    nte: y\n    go: [{to: a, wen: b}]\n",
			"4:5 unknown key \"nte\" in states.travel; the nearest valid one is \"note\"\n" +
				"5:18 unknown key \"wen\" in states.travel.go[0]; the nearest valid one is \"when\""},
	})
}

func TestDecodeRefusesKinds(t *testing.T) {
	t.Parallel()
	testBroken[machine](t, []broken{
		{"Number", "load: {mass_kg: heavy}\n", `1:17 load.mass_kg is "heavy"; must be a number`},
		{"NumberQuoted", "load: {mass_kg: \"180\"}\n", `1:17 load.mass_kg is "180"; must be a number, without quotes`},
		{"NumberUntypedNan", "load: {mass_kg: nan}\n", `1:17 load.mass_kg is "nan"; must be a number`},
		{"NumberUntypedInf", "load: {mass_kg: Inf}\n", `1:17 load.mass_kg is "Inf"; must be a number`},
		{"NumberMissing", "load:\n  mass_kg:\n", "2:3 load.mass_kg has no value; must be a number"},
		{"NumberList", "load: {mass_kg: [1]}\n", "1:17 load.mass_kg is a list; must be a number"},
		{"NumberInMap", "gains: {a: x}\n", `1:12 gains.a is "x"; must be a number`},
		{"WholeFraction", "load: {turns: 1.9}\n", "1:15 load.turns is 1.9; must be a whole number"},
		{"WholeExponent", "load: {turns: 1e3}\n", "1:15 load.turns is 1e3; must be a whole number"},
		{"WholeQuoted", "level: '5'\n", `1:8 level is "5"; must be a whole number, without quotes`},
		{"WholeTooLarge", "level: 128\n", "1:8 level is 128; must be a whole number from -128 to 127"},
		{"WholeNegative", "seed: -1\n", "1:7 seed is -1; must be a whole number from 0 to 18446744073709551615"},
		{"Bool", "load: {ready: yes}\n", `1:15 load.ready is "yes"; must be true or false`},
		{"BoolNumber", "acts: [{set: {trigger: 1}}]\n", "1:24 acts[0].set.trigger is 1; must be true or false"},
		{"Text", "name: {a: b}\nnote: [c]\n",
			"1:7 name is a group of keys; must be a text\n2:7 note is a list; must be a text"},
		{"TextMissing", "name:\n", "1:1 name has no value; must be a text"},
		{"Group", "load: 5\nset: [1]\n",
			"1:7 load is 5; must be keys with values\n2:6 set is a list; must be keys with values"},
		{"ListWanted", "acts:\n  at: 1s\n", "1:1 acts is a group of keys; must be a list"},
		{"ItemMissing", "acts:\n  - at: 1s\n  -\n", "3:3 acts[1] has no value; must be an item of the list"},
		{"ItemWrong", "acts: [5]\n", "1:8 acts[0] is 5; must be keys with values"},
		{"OwnReader", "when: start\n", "1:1 moment is a word; must be a state"},
		{"LongText", "load: {turns: " + strings.Repeat("é", 50) + "}\n",
			`1:15 load.turns is "` + strings.Repeat("é", 40) + `…"; must be a whole number`},
		{"TextOfLines", "load:\n  turns: |\n    5\n", "2:10 load.turns is a text of several lines; must be a whole number"},
		{"Panic", "panic: x\n", "0:0 the YAML library failed on this document (out of order); simplify it"},
	})
}

func TestDecodeRefusesDurations(t *testing.T) {
	t.Parallel()
	testBroken[machine](t, []broken{
		{"Bare", "dwell: 5\n", "1:8 dwell is 5; must be written with its unit, such as 5s or 5ms"},
		{"BareFraction", "limit: 1.5\n", "1:8 limit is 1.5; must be written with its unit, such as 1.5s or 1.5ms"},
		{"BareInList", "acts: [{at: 3}]\n", "1:13 acts[0].at is 3; must be written with its unit, such as 3s or 3ms"},
		{"BareInOwnReader", "when: {state: x, after: 3}\n", "1:25 when.after is 3; must be written with its unit, such as 3s or 3ms"},
		{"BareNegative", "dwell: -5\n", "1:8 dwell is -5; must be a duration such as 250us, 8ms, 1.5s or 8h"},
		{"BareExponent", "dwell: 1e3\n", "1:8 dwell is 1e3; must be a duration such as 250us, 8ms, 1.5s or 8h"},
		{"Negative", "dwell: -8ms\n", `1:8 dwell is "-8ms"; must be 0 or more`},
		{"UnknownUnit", "dwell: 1d\n", `1:8 dwell is "1d"; must be a duration such as 250us, 8ms, 1.5s or 8h`},
		{"Space", "dwell: 5 s\n", `1:8 dwell is "5 s"; must be a duration such as 250us, 8ms, 1.5s or 8h`},
		{"TooLong", "dwell: 9999999999h\n", `1:8 dwell is "9999999999h"; must be a duration such as 250us, 8ms, 1.5s or 8h`},
		{"Missing", "dwell:\n", "1:1 dwell has no value; must be a duration such as 250us, 8ms, 1.5s or 8h"},
		{"List", "dwell: [1s]\n", "1:8 dwell is a list; must be a duration such as 250us, 8ms, 1.5s or 8h"},
	})
}

func TestDecodeRefusesSyntax(t *testing.T) {
	t.Parallel()
	const notKey = "not a key with a value; must be written key: value, with a space after the colon"
	testBroken[machine](t, []broken{
		{"NoSpaceAfterColon", "load:\n  mass_kg:5\n  ready: true\n", "2:3 " + notKey},
		{"NoColon", "name x\nload: {}\n", "1:1 " + notKey},
		{"NoColonLater", "name: x\nload\n", "2:1 " + notKey},
		{"TwoColons", "name: a: b\n",
			`1:7 value contains ": "; check the indentation of the next line, or quote text that contains ": "`},
		{"IndentedTooFar", "load:\n  turns: 1\n    ready: true\n",
			`2:10 value contains ": "; check the indentation of the next line, or quote text that contains ": "`},
		{"IndentedTooLittle", "load:\n    turns: 1\n  ready: true\n",
			"3:3 a value is not allowed here; check the indentation, the brackets and the quotes"},
		{"ItemAfterKey", "name: - 5\n",
			"1:7 - begins an item of a list and cannot follow a key on its line; put the list on the lines below, or use [ ]"},
		{"ListOpen", "acts: [1, 2\nname: x\n", "2:1 a , or ] is missing before this"},
		{"ListOpenAtEnd", "acts: [1, 2\n", "1:7 [ is never closed; a ] is missing"},
		{"GroupOpen", "load: {turns: 1\nname: x\n", "2:1 a , or } is missing before this"},
		{"GroupOpenAtEnd", "load: {turns: 1\n", "1:7 { is never closed; a } is missing"},
		{"Unopened", "name: ]\n", "1:7 ] closes a list that was not opened; remove it, or open the list with ["},
		{"EmptyItem", "acts: [1,,2]\n", "1:10 value is missing"},
		{"SingleQuoteOpen", "name: 'abc\nnote: x\n", "1:7 text that begins with ' is never closed; close it with '"},
		{"DoubleQuoteOpen", "name: \"abc\n", `1:7 text that begins with " is never closed; close it with "`},
		{"AfterQuote", "name: 'a' b\n", "1:11 the value before this is complete; check the indentation and the quotes"},
		{"Escape", `name: "a\qb"`, `1:10 this backslash begins no YAML escape; write \\ for a backslash, or use single quotes`},
		{"EscapeShort", `name: "\u1`, `1:8 an escape is cut short here; must be \u with four or \U with eight hexadecimal digits`},
		{"Reserved", "name: @x\n", "1:7 unquoted text cannot begin with this character; quote the text"},
		{"AfterBar", "name: |x\n  y\n", "1:7 | and > must end their line; put the text on the lines below, indented"},
		{"UnevenText", "name: >\n   a\n b\n", "3:2 the value before this is complete; check the indentation and the quotes"},
		{"AfterHeader", "--- name: b\n", "1:5 nothing may follow on this line; begin on the next"},
	})
}

func TestDecodeListsNoMoreThanIsRead(t *testing.T) {
	t.Parallel()
	_, _, err := decode[machine]("doc.yaml", []byte("acts: ["+strings.Repeat("5,", 5000)+"]"))
	lines := brief(err)
	require.Len(t, lines, maxProblems+1)
	require.Equal(t, "0:0 further problems are not listed", lines[maxProblems])
}

func TestDecodeOK(t *testing.T) {
	t.Parallel()
	const text = "\ufeff---\r\n" +
		"name: 420\r\n" +
		"note: >\r\n  two\r\n  lines\r\n" +
		"load: {mass_kg: 1.5e2, ready: true, turns: -3}\r\n" +
		"dwell: 250us\r\n" +
		"limit: 0\r\n" +
		"set: {rig.load.mass_kg: 0.35, judge.dwell: 1s, a: true}\r\n" +
		"gains: {a: 1e3, b: 5, c: -.5}\r\n" +
		"acts:\r\n  - at: 1.5s\r\n    set: {trigger: true}\r\n" +
		"seed: 18446744073709551615\r\n" +
		"...\r\n# the end"
	got, s, err := decode[machine]("doc.yaml", []byte(text))
	require.NoError(t, err)
	zero := time.Duration(0)
	require.Equal(t, machine{
		Name: "420", Note: "two lines\n",
		Load:  machineLoad{MassKG: 150, Ready: true, Turns: -3},
		Dwell: 250 * time.Microsecond, Limit: &zero,
		Set:   map[string]string{"rig.load.mass_kg": "0.35", "judge.dwell": "1s", "a": "true"},
		Gains: map[string]float64{"a": 1000, "b": 5, "c": -0.5},
		Acts:  []machineAct{{At: 1500 * time.Millisecond, Set: map[string]bool{"trigger": true}}},
		Seed:  1<<64 - 1,
	}, got)
	require.Equal(t, position{"doc.yaml", 6, 17}, s.at("$.load.mass_kg"), "no shift by the line ends")
}

// A block whose keys are all commented out is a block without keys.
func TestDecodeKeepsWhatIsNotMentioned(t *testing.T) {
	t.Parallel()
	s, err := read("doc.yaml", []byte("load:\n  # mass_kg: 5\nset:\nacts:\nwhen:\nname: b\n"))
	require.NoError(t, err)
	m := machine{Name: "a", Note: "n", Load: machineLoad{MassKG: 7}, Dwell: time.Second}
	require.NoError(t, s.decode("$", s.root(), &m))
	require.Equal(t, machine{Name: "b", Note: "n", Load: machineLoad{MassKG: 7}, Dwell: time.Second}, m)
}

// A part of a document is read on its own; its problems are located in the whole.
func TestDecodePart(t *testing.T) {
	t.Parallel()
	s, err := read("doc.yaml", []byte("name: a\nrig:\n  mass_kg: 5\n  turn: 1\n"))
	require.NoError(t, err)
	p, ok := s.find("$.rig")
	require.True(t, ok)
	var l machineLoad
	require.Equal(t, []string{`4:3 unknown key "turn" in rig; the nearest valid one is "turns"`},
		brief(s.decode("$.rig", p.node, &l)))
}

// TestStrictDocuments compares the full printed form. A document that is read without
// an error is never taken as expected.
func TestStrictDocuments(t *testing.T) {
	t.Parallel()
	files, err := filepath.Glob("testdata/strict/*.yaml")
	require.NoError(t, err)
	require.Len(t, files, 12)
	for _, file := range files {
		t.Run(filepath.Base(file), func(t *testing.T) {
			text, err := os.ReadFile(file)
			require.NoError(t, err)
			_, _, err = decode[machine](filepath.Base(file), text)
			var problems problem.List
			require.ErrorAs(t, err, &problems)
			golden := strings.TrimSuffix(file, ".yaml") + ".golden"
			if *update {
				require.NoError(t, os.WriteFile(golden, []byte(err.Error()+"\n"), 0o644))
			}
			want, err := os.ReadFile(golden)
			require.NoError(t, err)
			require.Equal(t, string(want), problems.Error()+"\n")
		})
	}
}

// decode reads one strict YAML document into a value of type T.
func decode[T any](name string, text []byte) (T, *source, error) {
	var value T
	s, err := read(name, text)
	if err != nil {
		return value, nil, err
	}
	return value, s, s.decode("$", s.root(), &value)
}

// at is the position of the value at a path such as $.states.travel.go[0].when, or of
// the innermost value around it that exists.
func (s *source) at(path string) position {
	p, _ := s.find(path)
	return s.atToken(p.token())
}
