package scenarios

import (
	"strings"
	"testing"

	"github.com/rivo/uniseg"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"
)

const placesText = `sequence: reference
states:
  travel:
    set: {drive: move, 'odd key': 5}
    go:
      - to: clamp
        when: abs(position_mm) <= 5 and
          standstill
      - {to: 'it''s', when: "a \"b\" c\n d"}
    note: >
      first line
      second line
  empty:
set:
  rig.load.mass_kg: 210
  höhe: 日本 x
`

func TestAt(t *testing.T) {
	t.Parallel()
	s, err := read("seq.yaml", []byte(placesText))
	require.NoError(t, err)
	for _, test := range []struct {
		path         string
		line, column int
	}{
		{"$", 1, 1},
		{"$.sequence", 1, 11},
		{"$.states", 2, 1},
		{"$.states.travel", 3, 3},
		{"$.states.travel.set", 4, 10},
		{"$.states.travel.set.drive", 4, 18},
		{"$.states.travel.set.'odd key'", 4, 35},
		{"$.states.travel.go", 5, 5},
		{"$.states.travel.go[0]", 6, 9},
		{"$.states.travel.go[0].when", 7, 15},
		{"$.states.travel.go[1]", 9, 9},
		{"$.states.travel.note", 10, 11},
		{"$.states.empty", 13, 3},
		{"$.set.'rig.load.mass_kg'", 15, 21},
		{"$.set.höhe", 16, 9},
		// A path that does not exist leads to the innermost value that does.
		{"$.states.travel.go[2].when", 5, 5},
		{"$.states.travel.go[0].cause", 6, 9},
		{"$.states.travel.gone[0]", 3, 3},
		{"$.states.empty.go", 13, 3},
		{"$.sequence.name", 1, 11},
		{"$.title", 1, 1},
		{"$.set.'it\\'s'", 14, 1},
		{"$[3]", 1, 1},
		{"", 1, 1},
		{"$.states.travel.go[", 5, 5},
		{"$.states.'travel", 3, 3},
	} {
		require.Equal(t, position{"seq.yaml", test.line, test.column}, s.at(test.path), test.path)
	}
}

// The character at a column of a value is the one at the located position of the source.
func TestWithin(t *testing.T) {
	t.Parallel()
	s, err := read("seq.yaml", []byte(placesText))
	require.NoError(t, err)
	for _, test := range []struct {
		path         string
		in           int
		line, column int
		char         string
	}{
		{"$.states.travel.go[0].when", 5, 7, 19, "p"},
		{"$.states.travel.go[0].when", 27, 8, 11, "s"}, // past a line that folds
		{"$.states.travel.go[1].to", 1, 9, 15, "i"},
		{"$.states.travel.go[1].to", 4, 9, 19, "s"},    // past a doubled quote
		{"$.states.travel.go[1].when", 7, 9, 38, "c"},  // past two escaped quotes
		{"$.states.travel.go[1].when", 10, 9, 42, "d"}, // past an escaped line end
		{"$.states.travel.note", 1, 11, 7, "f"},
		{"$.states.travel.note", 12, 12, 7, "s"},
		{"$.states.travel.note", 999, 12, 17, "e"}, // beyond the end: the last one
		{"$.set.'rig.load.mass_kg'", 2, 15, 22, "1"},
		{"$.set.höhe", 4, 16, 12, "x"},
		{"$.states.travel.go", 4, 5, 5, "g"},          // no scalar: the whole
		{"$.states.travel.go[0].cause", 4, 6, 9, "t"}, // not there: what holds it
	} {
		at := s.within(test.path, test.in)
		require.Equal(t, position{"seq.yaml", test.line, test.column}, at, "%s %d", test.path, test.in)
		require.Equal(t, test.char, string([]rune(s.lines[at.line-1])[at.column-1]))
	}
}

func TestProblem(t *testing.T) {
	t.Parallel()
	s, err := read("rig.yaml", []byte("rig: hoist\nload:\n  mass_kg: -5\n"))
	require.NoError(t, err)
	p := s.problem("$.load.mass_kg", 0, "load.mass_kg is -5 kg; must be between 0.001 and 1e6 kg")
	require.Equal(t, "rig.yaml:3:12: load.mass_kg is -5 kg; must be between 0.001 and 1e6 kg\n"+
		"    3 |   mass_kg: -5\n"+
		"      |            ^", p.Error())
	p.Warning = true
	require.Contains(t, p.Error(), "rig.yaml:3:12: warning: load.mass_kg")
}

func TestExcerpt(t *testing.T) {
	t.Parallel()
	long := strings.Repeat("x", 95) + "Y" + strings.Repeat("z", 95)
	for _, test := range []struct {
		name, line string
		column     int
		want       string
	}{
		{"OK", "a: b", 4, "    7 | a: b\n      |    ^"},
		{"Tab", "\ta: b", 2, "    7 |  a: b\n      |  ^"},
		{"Wide", "日本: b", 5, "    7 | 日本: b\n      |       ^"},
		{"Combining", "e\u0301\u0301: b", 6, "    7 | e\u0301\u0301: b\n      |    ^"},
		{"Control", "a: \x1b[1m", 5, "    7 | a: \uFFFD[1m\n      |     ^"},
		{"EmptyLine", "", 1, "    7 | \n      | ^"},
		{"BeforeLine", "abc", -3, "    7 | abc\n      | ^"},
		{"BehindLine", "abc", 9, "    7 | abc\n      |   ^"},
		{"Long", long, 96, "    7 | …" + long[35:135] + "…\n      | " + strings.Repeat(" ", 61) + "^"},
		{"LongAtStart", long, 1, "    7 | " + long[:40] + "…\n      | ^"},
	} {
		t.Run(test.name, func(t *testing.T) {
			require.Equal(t, test.want, excerpt(test.line, 7, test.column))
		})
	}
}

// For every line and every column, wrong ones too, the caret is below a character of
// the line and the excerpt has two lines of limited width.
func TestExcerptProperty(t *testing.T) {
	t.Parallel()
	rapid.Check(t, func(t *rapid.T) {
		alphabet := []rune("ab :'\t日é\u0301\u200d👩\x00\x1b\uFFFD")
		line := rapid.StringOfN(rapid.OneOf(rapid.SampledFrom(alphabet), rapid.Rune()), 0, 300, -1).Draw(t, "line")
		line = strings.NewReplacer("\n", "", "\r", "").Replace(line)
		column := rapid.IntRange(-5, 400).Draw(t, "column")

		shown, caret, two := strings.Cut(excerpt(line, 12, column), "\n")
		require.True(t, two)
		shown, caret = strings.TrimPrefix(shown, "   12 | "), strings.TrimPrefix(caret, "      | ")
		require.Equal(t, strings.Repeat(" ", len(caret)-1)+"^", caret)
		require.Less(t, len(caret)-1, max(uniseg.StringWidth(shown), 1))
		require.LessOrEqual(t, uniseg.StringWidth(shown), excerptWidth+4)
	})
}

// For every path and column, the position lies in the document.
func TestPositionProperty(t *testing.T) {
	t.Parallel()
	s, err := read("seq.yaml", []byte(placesText))
	require.NoError(t, err)
	parts := []string{"$", ".", "'", "\\", "[", "]", "0", "1", "states", "travel", "go", "when", "note", "set", "höhe"}
	rapid.Check(t, func(t *rapid.T) {
		path := strings.Join(rapid.SliceOfN(rapid.SampledFrom(parts), 0, 12).Draw(t, "path"), "")
		at := s.within(path, rapid.IntRange(-3, 80).Draw(t, "column"))
		require.True(t, at.line >= 1 && at.line <= len(s.lines))
		require.True(t, at.column >= 1 && at.column <= max(len([]rune(s.lines[at.line-1])), 1))
	})
}
