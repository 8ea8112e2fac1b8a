package st_test

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/plant/problem"
	"holdbench/sequence/st"
)

// Common mistakes and forms of other dialects, each with all that is said of it: the place, what was
// found, and what to write. Nothing more follows from it. No flag rewrites what is expected: a title
// behind ===, the text, and the messages behind ---.
func TestDialects(t *testing.T) {
	t.Parallel()
	for _, d := range dialects(t) {
		t.Run(d.title, func(t *testing.T) {
			t.Parallel()
			require.Equal(t, d.want, said(d.text))
		})
	}
}

type dialect struct{ title, text, want string }

// dialects are the entries of the tables. Statements stand from line 2 on, behind declarations.
func dialects(tb testing.TB) []dialect {
	tb.Helper()
	const before = "TYPE E_Step : (S_INIT, S_READY, S_RUN, S_END); END_TYPE PROGRAM p VAR e : E_Step; x, y, z : INT; b, c : BOOL; " +
		"w : WORD; r : REAL; lr : LREAL; t : TIME; s : STRING; fbt : TON; arr : ARRAY [1..3] OF INT; END_VAR\n"
	var list []dialect
	for _, of := range []struct{ file, before, after string }{
		{"statements.txt", before, "\nEND_PROGRAM\n"}, {"declarations.txt", "", "\n"},
	} {
		table, err := os.ReadFile("testdata/dialects/" + of.file)
		require.NoError(tb, err)
		for _, entry := range strings.Split(string(table), "=== ")[1:] {
			title, rest, _ := strings.Cut(entry, "\n")
			text, want, ok := strings.Cut(rest, "\n---\n")
			require.True(tb, ok, title)
			list = append(list, dialect{title, of.before + text + of.after, strings.TrimSpace(want)})
		}
	}
	return list
}

// said are the messages about a text, a line each.
func said(text string) string {
	_, warnings, err := st.Compile("p.st", text)
	var lines []string
	for _, p := range append(warnings, problem.Of(err)...) {
		sort := ""
		if p.Warning {
			sort = "warning: "
		}
		lines = append(lines, fmt.Sprintf("%d:%d: %s%s", p.Line, p.Column, sort, p.Message))
	}
	return strings.Join(lines, "\n")
}

// What a message says to write instead is a program.
func TestAdviceCompiles(t *testing.T) {
	t.Parallel()
	const vars = "TYPE E : (A, B1); F : UINT (C, D); END_TYPE PROGRAM p VAR e : E; f : F; i : INT; u : UDINT; w : WORD; b : BOOL; r : REAL; END_VAR "
	for _, c := range []struct {
		statement string
		says      []string
		advice    string
	}{
		{"b := w.3;", []string{"(SHR(w, 3) AND 1) <> 0"}, "b := (SHR(w, 3) AND 1) <> 0;"},
		{"b := i.%X3;", []string{"(SHR(INT_TO_WORD(i), 3) AND 1) <> 0"}, "b := (SHR(INT_TO_WORD(i), 3) AND 1) <> 0;"},
		{
			"w.3 := TRUE;",
			[]string{"w := w OR WORD#16#8 sets", "w := w AND NOT WORD#16#8 resets"},
			"w := w OR WORD#16#8; w := w AND NOT WORD#16#8;",
		},
		{
			"u.31 := TRUE;",
			[]string{
				"u := DWORD_TO_UDINT(UDINT_TO_DWORD(u) OR DWORD#16#80000000) sets",
				"u := DWORD_TO_UDINT(UDINT_TO_DWORD(u) AND NOT DWORD#16#80000000) resets",
			},
			"u := DWORD_TO_UDINT(UDINT_TO_DWORD(u) OR DWORD#16#80000000); u := DWORD_TO_UDINT(UDINT_TO_DWORD(u) AND NOT DWORD#16#80000000);",
		},
		{"i := NOT i;", []string{"i = 0", "WORD_TO_INT(NOT INT_TO_WORD(i))"}, "b := i = 0; i := WORD_TO_INT(NOT INT_TO_WORD(i));"},
		{"b := e < B1;", []string{"TO_INT(e) < TO_INT(B1)"}, "b := TO_INT(e) < TO_INT(B1);"},
		{"b := f >= D;", []string{"TO_UINT(f) >= TO_UINT(D)"}, "b := TO_UINT(f) >= TO_UINT(D);"},
		{"e := E.B1;", []string{"E#B1 or B1"}, "e := E#B1; e := B1;"},
		{"f := E.B1;", []string{"E#B1 or B1"}, "e := E#B1; e := B1;"},
		{"i := 0x1F;", []string{"write 16#1F"}, "i := 16#1F;"},
	} {
		for _, part := range c.says {
			require.Contains(t, said(vars+c.statement+" END_PROGRAM"), part, c.statement)
		}
		compiled(t, vars+c.advice+" END_PROGRAM")
	}
}

// A file that is not in UTF-8 has one error, which says in what it is. A byte-order mark of UTF-8 is
// accepted, and counts in no column.
func TestEncodings(t *testing.T) {
	t.Parallel()
	const text = "PROGRAM p VAR x : INT; END_VAR x := 1; END_PROGRAM\n"
	wide := func(mark string, big bool) string {
		var b strings.Builder
		b.WriteString(mark)
		for _, c := range []byte(text) {
			if big {
				b.WriteString("\x00" + string(rune(c)))
			} else {
				b.WriteString(string(rune(c)) + "\x00")
			}
		}
		return b.String()
	}
	for _, c := range []struct{ name, text, want string }{
		{"UTF-16 with a mark", wide("\xff\xfe", false), "1:1: the file is UTF-16 (little endian); save it as UTF-8"},
		{"UTF-16 big endian with a mark", wide("\xfe\xff", true), "1:1: the file is UTF-16 (big endian); save it as UTF-8"},
		{"UTF-16 without a mark", wide("", false), "1:1: the file is UTF-16 (little endian); save it as UTF-8"},
		{"UTF-16 big endian without a mark", wide("", true), "1:1: the file is UTF-16 (big endian); save it as UTF-8"},
		{"UTF-32", "\xff\xfe\x00\x00P\x00\x00\x00", "1:1: the file is UTF-32 (little endian); save it as UTF-8"},
		{
			"Windows-1252", "(* Pr\xfcfung *)\n" + text + "(* \xe4 *)",
			"1:6: the file is not UTF-8: found the byte 16#FC, which is 'ü' in Windows-1252 and ISO 8859-1; save it as UTF-8",
		},
		{
			"Windows-1252 only", text + "(* 5 \x80 *)",
			"2:6: the file is not UTF-8: found the byte 16#80, as in Windows-1252; save it as UTF-8",
		},
		{"UTF-8 with a mark", "\ufeff" + text, ""},
		{"columns behind a mark", "\ufeff" + strings.Replace(text, "1;", "y;", 1), `1:37: "y" is not declared`},
	} {
		require.Equal(t, c.want, said(c.text), c.name)
	}
}
