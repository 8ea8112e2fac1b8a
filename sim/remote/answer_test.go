package remote

import (
	"bytes"
	"encoding/json"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/require"

	"holdbench/sequence"
)

// twoStates is a reader for a controller with two states and some kept values.
func twoStates(tb testing.TB) *reader {
	tb.Helper()
	g, err := readGreeting([]byte(`{"states":[{"name":"ready"},{"name":"passed","end":"pass"}],"outputs":["drive","target_mm","ask","alarm"]}`))
	require.NoError(tb, err)
	return &reader{vocabulary: newVocabulary(g.describe(&sequence.Description{Name: "test"}, "test"), g)}
}

func TestAnswers(t *testing.T) {
	t.Parallel()
	r := twoStates(t)
	out := sequence.DefaultOutputs()
	a, err := r.read([]byte(` { "outputs" : {"drive":"press","target_mm":-1.25e2,"alarm":"\u00fc \"x\" \ud83d\ude00"}, "state":"passed","cause":"moved","transition":"a/1","n":7}`+"\r\n"), &out, nil)
	require.NoError(t, err)
	require.Equal(t, answer{state: 1, transition: "a/1", cause: "moved", n: 7}, a)
	require.Equal(t, sequence.DrivePress, out.Drive)
	require.EqualValues(t, -125, out.TargetMM)
	require.Equal(t, "ü \"x\" \U0001F600", out.Alarm)
	a, err = r.read([]byte(`{"end":"pass"}`), &out, nil)
	require.NoError(t, err)
	require.Equal(t, 1, a.state, "the state that ends so")
	require.EqualValues(t, -125, out.TargetMM, "what is left out stays")
}

// Each wrong answer is told with what was found and what would be right.
func TestWrongAnswers(t *testing.T) {
	t.Parallel()
	r := twoStates(t)
	for line, want := range map[string]string{
		``:                                             `it ends where an object is expected`,
		`[]`:                                           `character 1 is '[', where an object is expected`,
		`nonsense`:                                     `where an object is expected`,
		`{"outputs":{}}x`:                              `where the end of the line is expected`,
		`{"outputs":{}`:                                `it ends where a comma or the end of the object is expected`,
		`{"output":{}}`:                                `there is no key "output" in an answer; the nearest valid one is "outputs"`,
		`{"outputs":{"brakes":"open"}}`:                `there is no output "brakes"; the nearest valid one is "brake"`,
		`{"outputs":{"drive":"halt"}}`:                 `drive is "halt"; must be one of off, hold, move, press`,
		`{"outputs":{"drive":1}}`:                      `drive: character 21 is '1', where a text in quotes is expected`,
		`{"outputs":{"target_mm":"1"}}`:                `target_mm: character 25 is '"', where a number is expected`,
		`{"outputs":{"target_mm":NaN}}`:                `where a number is expected`,
		`{"outputs":{"target_mm":1e400}}`:              `target_mm: a number is out of range`,
		`{"outputs":{"target_mm":2e6}}`:                `target_mm: it is 2,000,000; must be from -1,000,000 to 1,000,000`,
		`{"outputs":{"target_mm":01}}`:                 `where a number is expected`,
		`{"outputs":{"decouple":"true"}}`:              `decouple: character 24 is '"', where true or false is expected`,
		`{"outputs":{"target_deg":1}}`:                 `it sets target_deg, which the sequence that it replaces does not set; must be named in outputs of the answer to hello`,
		`{"outputs":{"alarm":"a\u0007"}}`:              `alarm is "a\a"; must be at most 200 printable characters`,
		`{"state":"redy"}`:                             `there is no state "redy"; the nearest valid one is "ready"`,
		`{"end":"good"}`:                               `end is "good"; must be pass, fail or stop`,
		`{"end":"fail"}`:                               `end is fail, and no state of controller outside ends so`,
		`{"end":"pass","state":"ready"}`:               `end is pass, and the end in state ready is none; must agree`,
		`{"kept":{"held_nm":1}}`:                       `there is no kept value "held_nm"; must be one of those in hello`,
		"{\"cause\":\"a\tb\"}":                         `where no control character is expected`,
		"{\"cause\":\"\xff\"}":                         `a text is not UTF-8`,
		`{"cause":"` + strings.Repeat("x", 300) + `"}`: `must be at most 200 printable characters`,
	} {
		out := sequence.DefaultOutputs()
		_, err := r.read([]byte(line), &out, nil)
		require.ErrorContains(t, err, want, line)
		require.ErrorContains(t, err, "its answer is ", line)
	}
}

// A scan line and its answer take no memory once they have been there.
func TestNothingIsAllocatedInAScan(t *testing.T) {
	r := twoStates(t)
	in, out := sequence.Inputs{PositionMM: 420.0625, TorqueNM: 2.8125}, sequence.DefaultOutputs()
	line, reply := make([]byte, 0, 4096), []byte(`{"n":3,"outputs":{"drive":"press","target_mm":420.5,"ask":"none","alarm":"the brake slips"},"state":"ready"}`)
	require.Zero(t, testing.AllocsPerRun(100, func() {
		line = r.appendScan(line[:0], 3, &in)
		if _, err := r.read(reply, &out, nil); err != nil {
			t.Fatal(err)
		}
	}))
	require.True(t, json.Valid(line), string(line))
}

// linesVariable is the number of random lines of [TestRandomLines] in the environment.
const linesVariable = "HOLDBENCH_LINES"

// Whatever a client sends: no panic, and what is accepted is JSON, with the values that another reader
// finds in it. HOLDBENCH_LINES=1000000 tries a million lines.
func TestRandomLines(t *testing.T) {
	t.Parallel()
	lines := 20_000
	if text := os.Getenv(linesVariable); text != "" {
		var err error
		lines, err = strconv.Atoi(text)
		require.NoError(t, err)
	}
	r, draw, accepted := twoStates(t), rand.New(rand.NewPCG(15, 4)), 0
	for range lines {
		line := randomLine(draw)
		out := sequence.DefaultOutputs()
		a, err := r.read(line, &out, nil)
		if err != nil {
			continue
		}
		accepted++
		requireAsJSON(t, line, &a, &out)
	}
	require.Greater(t, accepted, lines/100, "lines that are right are among them")
}

// randomLine is a right answer with some bytes changed, pieces of answers in any order, or any bytes.
func randomLine(draw *rand.Rand) []byte {
	pieces := []string{
		`{`, `}`, `"outputs"`, `:`, `,`, `"drive"`, `"press"`, `"target_mm"`, `-12.5e1`, `"state"`, `"ready"`, `"n"`, `3`, `true`, `null`, `[`, `]`, ` `,
		`"\ud83d"`, `"\u00fc"`, `{"outputs":{"ask":"up"}}`, `{"end":"pass"}`, `1e999`, `-`, `0x1`, "\x00", "\xff", `"`,
	}
	var line []byte
	switch draw.IntN(3) {
	case 0:
		line = []byte(`{"outputs":{"drive":"press","target_mm":420.5,"ask":"none","alarm":"a \"b\" \u00fc"},"state":"ready","n":3}`)
		for range draw.IntN(3) {
			line[draw.IntN(len(line))] = byte(draw.IntN(256))
		}
	case 1:
		for range draw.IntN(12) {
			line = append(line, pieces[draw.IntN(len(pieces))]...)
		}
	default:
		for range draw.IntN(40) {
			line = append(line, byte(draw.IntN(256)))
		}
	}
	return line
}

// requireAsJSON compares an accepted answer with what the reader of the standard library makes of it.
func requireAsJSON(t *testing.T, line []byte, a *answer, out *sequence.Outputs) {
	t.Helper()
	var want struct {
		Outputs struct {
			TargetMM *float64 `json:"target_mm"`
			Alarm    *string  `json:"alarm"`
			Drive    *string  `json:"drive"`
		} `json:"outputs"`
		Transition string `json:"transition"`
		Cause      string `json:"cause"`
	}
	require.NoError(t, json.Unmarshal(line, &want), "%q", line)
	require.Equal(t, want.Transition, a.transition, "%q", line)
	require.Equal(t, want.Cause, a.cause, "%q", line)
	if bytes.Count(line, []byte("outputs")) > 1 {
		return // the other reader takes keys in any case
	}
	if want.Outputs.TargetMM != nil {
		require.Equal(t, *want.Outputs.TargetMM, out.TargetMM, "%q", line)
	}
	if want.Outputs.Alarm != nil {
		require.Equal(t, *want.Outputs.Alarm, out.Alarm, "%q", line)
	}
	if want.Outputs.Drive != nil {
		require.Equal(t, *want.Outputs.Drive, out.Drive.String(), "%q", line)
	}
}

// FuzzAnswer tries what [TestRandomLines] tries, led by coverage.
func FuzzAnswer(f *testing.F) {
	draw := rand.New(rand.NewPCG(15, 5))
	for range 50 {
		f.Add(randomLine(draw))
	}
	r := twoStates(f)
	f.Fuzz(func(t *testing.T, line []byte) {
		out := sequence.DefaultOutputs()
		if _, err := r.read(line, &out, nil); err == nil && !json.Valid(line) {
			t.Fatalf("accepted, and no JSON: %q", line)
		}
	})
}
