package remote_test

import (
	"bufio"
	"bytes"
	"flag"
	"io"
	"os"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"github.com/stretchr/testify/require"

	"holdbench/scenarios"
	"holdbench/sim"
	"holdbench/sim/remote"
	"holdbench/sim/remote/talker"
)

var update = flag.Bool("update", false, "rewrite the kept schema")

const schemaFile = "schema.json"

// The kept schema is that of the tables.
func TestKeptSchema(t *testing.T) {
	made, err := remote.Schema()
	require.NoError(t, err)
	if *update {
		require.NoError(t, os.WriteFile(schemaFile, made, 0o644))
	}
	kept, err := os.ReadFile(schemaFile)
	require.NoError(t, err)
	require.Equal(t, string(kept), string(made), "rewrite it with -update")
}

// part is one of the schemas of the kept file, compiled by a validator that knows nothing of us.
func part(t *testing.T, name string) *jsonschema.Schema {
	t.Helper()
	text, err := os.Open(schemaFile)
	require.NoError(t, err)
	defer func() { _ = text.Close() }()
	document, err := jsonschema.UnmarshalJSON(text)
	require.NoError(t, err)
	c := jsonschema.NewCompiler()
	c.DefaultDraft(jsonschema.Draft2020)
	require.NoError(t, c.AddResource("schema.json", document))
	s, err := c.Compile("schema.json" + name)
	require.NoError(t, err)
	return s
}

func fits(t *testing.T, s *jsonschema.Schema, line string) error {
	t.Helper()
	value, err := jsonschema.UnmarshalJSON(strings.NewReader(line))
	require.NoError(t, err, line)
	return s.Validate(value)
}

// wire keeps the lines of both sides.
type wire struct {
	io.ReadWriter
	in, out bytes.Buffer
}

func (w *wire) Read(to []byte) (int, error) {
	n, err := w.ReadWriter.Read(to)
	w.in.Write(to[:n])
	return n, err
}

func (w *wire) Write(line []byte) (int, error) {
	w.out.Write(line)
	return w.ReadWriter.Write(line)
}

// Every line of a run with a loss of power fits the schema, in both directions, and is of the type that
// it says.
func TestLinesFitTheSchema(t *testing.T) {
	t.Parallel()
	logic, _, err := scenarios.LoadLogic("reference", scenarios.Below)
	require.NoError(t, err)
	w, ended := &wire{}, make(chan struct{})
	p := answers(t, 1, func(conn io.ReadWriter) {
		defer close(ended)
		w.ReadWriter = conn
		_ = talker.Serve(always(logic), w)
	})
	c := with(t, load(t, "power-lost-while-pressing", scenarios.Overrides{}), p)
	_, err = sim.Run(c, nil)
	require.NoError(t, err)
	require.NoError(t, p.Close())
	<-ended
	all, kinds := part(t, ""), map[string]int{}
	parts := map[string]*jsonschema.Schema{"answer": part(t, "#/$defs/answer"), "answer_to_hello": part(t, "#/$defs/answer_to_hello")}
	for _, kind := range remote.LineTypes() {
		parts[kind.Name] = part(t, "#/$defs/"+kind.Name)
	}
	for n, lines := 0, bufio.NewScanner(&w.in); lines.Scan(); n++ {
		kind := strings.Split(lines.Text(), `"`)[3]
		if kinds[kind]++; n%10 < 2 || kind != "scan" {
			require.NoError(t, fits(t, parts[kind], lines.Text()))
			require.NoError(t, fits(t, all, lines.Text()))
		}
	}
	require.Positive(t, kinds["scan"])
	require.Equal(t, map[string]int{"hello": 1, "reset": 1, "power_up": 1, "scan": kinds["scan"]}, kinds)
	for n, lines := 0, bufio.NewScanner(&w.out); lines.Scan(); n++ {
		kind := "answer"
		if n == 0 {
			kind = "answer_to_hello"
		}
		if n%10 < 2 {
			require.NoError(t, fits(t, parts[kind], lines.Text()))
		}
	}
}

// What the bench refuses the schema refuses too, as far as a schema can.
func TestTheSchemaRefuses(t *testing.T) {
	t.Parallel()
	require.NoError(t, fits(t, part(t, ""), `{"type":"refused","because":"another controller is connected"}`))
	answer, hello := part(t, "#/$defs/answer"), part(t, "#/$defs/answer_to_hello")
	for _, line := range []string{
		`[]`, `{"output":{}}`, `{"outputs":{"brakes":"open"}}`, `{"outputs":{"drive":"halt"}}`, `{"outputs":{"target_mm":2e6}}`,
		`{"outputs":{"target_mm":"1"}}`, `{"end":"good"}`, `{"n":-1}`, `{"kept":[]}`, `{"cause":"` + strings.Repeat("x", 300) + `"}`,
	} {
		require.Error(t, fits(t, answer, line), line)
	}
	for _, line := range []string{`{"nme":1}`, `{"states":[{"name":""}]}`, `{"states":[{"name":"a","end":"good"}]}`, `{"inputs":["torque"]}`, `{"n":4}`, `{"version":2}`} {
		require.Error(t, fits(t, hello, line), line)
	}
}
