package helpcmd

import (
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/spf13/cobra"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
	"holdbench/sequence"
	"holdbench/sequence/st"
	"holdbench/sim"
)

func TestMain(m *testing.M) { program().Main(m) }

// program is a holdbench that has the topics alone.
func program() clitest.Program {
	return func(a *command.App) *cobra.Command {
		root := &cobra.Command{Use: "holdbench"}
		root.AddCommand(Topics(a)...)
		return root
	}
}

// printed is what help prints of a topic.
func printed(t *testing.T, name string) string {
	t.Helper()
	got := program().Invoke(t.Context(), "help", name)
	require.Equal(t, command.ExitOK, got.Code, got.Stderr)
	return got.Stdout
}

// A guide is read as a whole; a reference is as long as its tables.
func TestTopicsKeepToThePage(t *testing.T) {
	const mostLines = 60
	references := []string{"rig", "sequence", "scenario", "binding", "expressions"}
	for _, topic := range topics() {
		got := printed(t, topic.name)
		clitest.KeepsToThePage(t, got, page.Narrow, false)
		if !slices.Contains(references, topic.name) {
			assert.LessOrEqual(t, strings.Count(got, "\n"), mostLines, topic.name)
		}
		assert.Equal(t, got, program().Invoke(t.Context(), topic.name).Stdout, "the name alone prints it too")
	}
}

// The tables of the program are in the topics, row by row.
func TestTopicsHaveTheTables(t *testing.T) {
	row := func(text, name string) {
		t.Helper()
		assert.Regexp(t, `(?m)^  `+regexp.QuoteMeta(name)+` +\S`, text)
	}
	text := printed(t, "classes")
	for _, c := range sim.Classes() {
		row(text, string(c))
	}
	text = printed(t, "obligations")
	for _, o := range sim.Obligations() {
		row(text, o.Name)
	}
	text = printed(t, "exit-codes")
	for _, e := range []string{"0", "1", "2", "3"} {
		row(text, e)
	}
}

// document is the part of a topic that begins with a key: the lines to the next one that is not
// indented.
func document(t *testing.T, topic, key string) []byte {
	t.Helper()
	text := printed(t, topic)
	at := strings.Index(text, "\n  "+key+":")
	require.GreaterOrEqual(t, at, 0, key)
	var lines []string
	for line := range strings.Lines(text[at+1:]) {
		if strings.HasPrefix(line, "  holdbench ") || strings.TrimSpace(line) != "" && !strings.HasPrefix(line, "  ") {
			break
		}
		lines = append(lines, strings.TrimPrefix(line, "  "))
	}
	return []byte(strings.Join(lines, ""))
}

// The documents of the topics are right, and the scenario ends as it expects.
func TestDocumentsOfTheTopics(t *testing.T) {
	rig, warnings, err := scenarios.ParseRig("rig.yaml", document(t, "documents", "rig"))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, "my-hoist", rig.Rig)
	ready, warnings, err := scenarios.ParseCase("scenario.yaml", document(t, "documents", "scenario"), scenarios.Overrides{})
	require.NoError(t, err)
	assert.Empty(t, warnings)
	r, err := sim.Run(ready, nil)
	require.NoError(t, err)
	assert.True(t, r.Met(), "%+v", r.Expectations)
	d, warnings, err := scenarios.ParseSequence("sequence.yaml", document(t, "sequence", "sequence"))
	require.NoError(t, err)
	assert.Empty(t, warnings)
	assert.Equal(t, "short", d.Sequence)
}

// Every form, function and unit of the topic is one of the language.
func TestExpressionsOfTheTopic(t *testing.T) {
	text := printed(t, "expressions")
	_, forms, _ := strings.Cut(text, "arithmetic")
	forms, _, _ = strings.Cut("arithmetic"+forms, "Comparisons are not chained")
	n := 0
	for line := range strings.Lines(forms) {
		for form := range strings.SplitSeq(strings.TrimSpace(regexp.MustCompile(`^ *(arithmetic|comparison|logic|choice|functions)`).ReplaceAllString(line, "")), "   ") {
			if form = strings.TrimSpace(form); form != "" {
				_, err := sequence.ParseExpr(form)
				require.NoError(t, err, form)
				n++
			}
		}
	}
	assert.Greater(t, n, 20)
	for _, ending := range regexp.MustCompile(`\b_[a-z0-9_]+`).FindAllString(text, -1) {
		assert.NotEqual(t, sequence.Unit{}, sequence.UnitOf("x"+ending), ending)
	}
	_, err := sequence.ParseExpr("nosuch(1)")
	require.Error(t, err)
	for _, name := range regexp.MustCompile(`[a-z]+`).FindAllString(strings.SplitN(err.Error(), ";", 2)[1], -1) {
		_, one := sequence.ParseExpr(name + "(1)")
		_, two := sequence.ParseExpr(name + "(1, 2)")
		if one == nil || two == nil {
			assert.Contains(t, forms, name+"(", "a function that the topic leaves out")
		}
	}
	_, examples, _ := strings.Cut(text, "Examples:")
	examples, _, _ = strings.Cut(examples, "OPERATORS")
	for line := range strings.Lines(examples) {
		if line = strings.TrimSpace(line); line != "" {
			_, err := sequence.ParseExpr(line)
			require.NoError(t, err, line)
		}
	}
}

// What the topic keeps and gives a role is right: its lines make a sequence.
func TestMemoryOfTheTopic(t *testing.T) {
	text := printed(t, "memory")
	state := regexp.MustCompile(`(?s)  measure_load:\n.*?\n\n`).FindString(text)
	roles := regexp.MustCompile(`  roles: .*\n`).FindString(text)
	require.NotEmpty(t, state)
	require.NotEmpty(t, roles)
	_, warnings, err := scenarios.ParseSequence("sequence.yaml", []byte("sequence: s\nstart: wait\nparams: {test_factor: 1.3, brake_test_nm: 3, surplus: 1.1}\n"+
		strings.TrimPrefix(roles, "  ")+"states:\n  wait: {set: {drive: hold}, go: [{to: measure_load, when: trigger}]}\n"+
		strings.TrimRight(state, "\n")+"\n    go: [{to: over, after: 1s}]\n  over: {}\nends: {over: stop}\n"))
	require.NoError(t, err)
	require.Empty(t, warnings)
}

// stResult runs a statement on variables and says what one of them is then, or why the program stops.
func stResult(t *testing.T, statement string) string {
	t.Helper()
	p, _, err := st.Compile("p.st", `PROGRAM p VAR
i, k : INT := 0; low : INT := -32768; high : INT := 32767; u : UINT; d : DINT := 70000; r, z : REAL := 0.0; big : REAL := 3.0E38; t : TIME := T#40s; s : STRING := 'x1'; w : WORD;
END_VAR
`+statement+"\nEND_PROGRAM")
	require.NoError(t, err, statement)
	b, err := p.Block("p")
	require.NoError(t, err)
	m, err := p.New(b)
	require.NoError(t, err)
	if err := m.Scan(0); err != nil {
		return err.Error()
	}
	name, _, _ := strings.Cut(statement, " ")
	ref, err := p.Find(b, name)
	require.NoError(t, err)
	return m.Format(ref)
}

// What the topic says of values that are out of range is so.
func TestLimitsOfTheTopic(t *testing.T) {
	text := printed(t, "st")
	for _, c := range []struct{ said, statement, want string }{
		{"a division by zero with / or MOD", "i := 1 / k;", "divides by zero"},
		{"a division by zero with / or MOD", "i := 1 MOD k;", "divides by zero"},
		{"of integers, reals and times", "r := 1.0 / z;", "divides by zero"},
		{"of integers, reals and times", "t := t / k;", "divides by zero"},
		{"0.0 ** -1.0", "r := z ** -1.0;", "divides by zero"},
		{"3.0E38 * 10.0 is too large for REAL", "r := big * 10.0;", "too large for its type"},
		{"SQRT(-1.0)", "r := SQRT(z - 1.0);", "SQRT of a negative number"},
		{"LN(0.0)", "r := LN(z);", "LN of a number that is not above zero"},
		{"LOG(0.0)", "r := LOG(z);", "LOG of a number that is not above zero"},
		{"ASIN(1.5)", "r := ASIN(z + 1.5);", "ASIN of a number outside"},
		{"ACOS(1.5)", "r := ACOS(z + 1.5);", "ACOS of a number outside"},
		{"a negative base ** a fraction", "r := (z - 1.0) ** 0.5;", "no power with a fraction"},
		{"MUX with a selector outside", "i := MUX(k + 5, 1, 2);", "must be from 0 to 1"},
		{"REAL_TO_INT(40000.0)", "i := REAL_TO_INT(z + 40000.0);", "does not fit into INT"},
		{"above 32767 ms", "i := TIME_TO_INT(t);", "do not fit into INT"},
		{"STRING_TO_INT('x1')", "i := STRING_TO_INT(s);", "is no INT"},
		{"ROL", "w := ROL(w, k - 1);", "N is negative"},
		{"MID", "s := MID(s, 1, k);", "must be at least 1"},
		{"a FOR with a step of 0", "FOR i := 1 TO 9 BY k DO ; END_FOR;", "a step of 0"},
		{"more steps in a scan than the watchdog allows", "WHILE TRUE DO ; END_WHILE;", "more steps than its budget allows"},
		{"INT 32767 + 1 is -32768", "i := high + 1;", "-32768"},
		{"UINT 0 - 1 is 65535", "u := u - 1;", "65535"},
		{"ABS(-32768) is -32768 as INT", "i := ABS(low);", "-32768"},
		{"ABS and / of the lowest", "i := low / (k - 1);", "-32768"},
		{"DINT_TO_INT(70000) is 4464", "i := DINT_TO_INT(d);", "4464"},
		{"a half to the even one", "i := REAL_TO_INT(z + 2.5);", "2"},
		{"TRUNC cuts off", "i := REAL_TRUNC_INT(z + 2.9);", "2"},
	} {
		assert.Contains(t, text, c.said)
		assert.Contains(t, stResult(t, c.statement), c.want, c.statement)
	}
}
