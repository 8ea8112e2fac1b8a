package export_test

import (
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
	"pgregory.net/rapid"

	"holdbench/sequence"
	"holdbench/sequence/export"
)

func TestSmallChart(t *testing.T) {
	t.Parallel()
	chart := export.SCXML(small(t), heading())
	golden(t, "small.scxml", chart)
	validChart(t, chart)
}

func TestChartsAreValid(t *testing.T) {
	t.Parallel()
	validChart(t, export.SCXML(compiled(t, string(sequence.Reference())), heading()))
	rapid.Check(t, func(r *rapid.T) {
		p, err := sequence.Compile(drawSequence(r), nil)
		if err != nil {
			r.Skip(err.Error())
		}
		validChart(r, export.SCXML(p, heading()))
	})
}

// clashing has names that are those of another thing in the chart, reserved words, and texts that would
// end a comment, an attribute or a string.
const clashing = `
sequence: "9 presses -- and more"
note: "a -- b --- c -->, 5 N·m <&> Öl, \u4E2D"
start: ready
params: {ready: true, input: true, scan: true, function: 4, running_nm: 1, n_ready_first_scan: 2, held_1: 3, torque_limit_nm: 2}
states:
  ready:
    note: "-"
    keep: {var: "not previous(trigger)", cause: position_mm > 1}
    set: {drive: hold, brake: open, operation: allowed, torque_limit_nm: "running_nm + torque_limit_nm"}
    go: [{to: first_scan, when: "ready and input and scan and function > n_ready_first_scan and held_1 > 1 and var and cause", for: 10ms, times: 2}]
  first_scan:
    set: {alarm: "Öl \"$\" 'fehlt' <&> \\ ]]> --> \u2028 \u0007 \U0001F6D1"}
    go: [{to: ready, when: trigger and 1 - (-running_nm) > running_nm - -running_nm}]
  drive:
    go: [{to: first_scan, when: 'previous(judge_cause) != "moved"'}]
any: [{to: drive, when: estop}]
ends: {first_scan: pass}
`

func TestNamesAndTextsOfAChart(t *testing.T) {
	t.Parallel()
	p := compiled(t, clashing)
	chart := export.SCXML(p, export.Heading{Version: "v1 -- x"})
	validChart(t, chart)
	for _, want := range []string{
		`name="_9_presses____and_more"`, `<state id="ready">`, `<state id="first_scan">`, `<data id="param_ready" expr="true"/>`,
		`<data id="param_function" expr="4"/>`, `<data id="kept_var" expr="false"/>`, `<data id="cause" expr="false"/>`,
		`<data id="commanded_drive" expr="'off'"/>`, `initial="first_scan_2"`, `<data id="cause_2" expr="''"/>`,
		"a - - b - - - c - ->, 5 N·m <&> Öl, 中", "holdbench v1 - - x.",
		`expr="'Öl &quot;$&quot; \'fehlt\' &lt;&amp;> \\ ]]> --> \u2028 \u0007 🛑'"`,
		`1 - -running_nm > running_nm - -running_nm`, `previous.judge_cause !== 'moved'`,
	} {
		assert.Contains(t, chart, want)
	}
}

// manyStates is a sequence of 500 states.
func manyStates() string {
	var b strings.Builder
	b.WriteString("ends: {s499: pass}\nsequence: many\nstart: s0\nany: [{to: s499, when: cancel}]\nstates:\n")
	for i := range 500 {
		fmt.Fprintf(&b, "  s%d: {set: {drive: hold, brake: open, operation: allowed}, go: [{to: s%d, when: trigger, for: 10ms}], opt_out: [s499]}\n", i, (i+1)%500)
	}
	return b.String()
}

func TestManyStatesAsAChart(t *testing.T) {
	t.Parallel()
	chart := export.SCXML(compiled(t, manyStates()), heading())
	assert.Equal(t, 503, strings.Count(chart, "<state id="))
	validChart(t, chart)
}

// children are the elements that may be in another (SCXML, sections 3 to 6), of those that are written.
func children(of string) []string {
	content := []string{"assign", "raise", "if", "log"}
	return map[string][]string{
		"":           {"scxml"},
		"scxml":      {"datamodel", "script", "state"},
		"datamodel":  {"data"},
		"state":      {"onentry", "onexit", "transition", "state"},
		"onentry":    content,
		"onexit":     content,
		"transition": content,
		"if":         content,
	}[of]
}

// attributes are those that an element may have; the first of them it must have.
func attributes(of string) []string {
	return map[string][]string{
		"scxml":      {"version", "datamodel", "name", "initial"},
		"data":       {"id", "expr"},
		"state":      {"id"},
		"transition": {"event", "target", "type", "cond"},
		"assign":     {"location", "expr"},
		"raise":      {"event"},
		"if":         {"cond"},
		"log":        {"label", "expr"},
	}[of]
}

// read is what a chart holds.
type read struct {
	states, targets, data, locations, raised, awaited []string
	scripts                                           []string // expressions and functions
}

// readChart reads a chart and holds it to the Recommendation as far as that needs no interpreter.
func readChart(t require.TestingT, text string) read {
	var r read
	decoder := xml.NewDecoder(strings.NewReader(text))
	path := []string{""}
	for {
		token, err := decoder.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		require.NoError(t, err)
		switch e := token.(type) {
		case xml.StartElement:
			assert.Equal(t, "http://www.w3.org/2005/07/scxml", e.Name.Space)
			assert.Contains(t, children(path[len(path)-1]), e.Name.Local)
			path = append(path, e.Name.Local)
			r.element(t, e)
		case xml.EndElement:
			path = path[:len(path)-1]
		case xml.CharData:
			if body := strings.TrimSpace(string(e)); body != "" {
				assert.Equal(t, "script", path[len(path)-1], "text may be in a script alone")
				r.scripts = append(r.scripts, body)
			}
		}
	}
	return r
}

func (r *read) element(t require.TestingT, e xml.StartElement) {
	allowed := attributes(e.Name.Local)
	found := map[string]string{}
	for _, a := range e.Attr {
		if a.Name.Local != "xmlns" {
			assert.Contains(t, allowed, a.Name.Local, e.Name.Local)
			found[a.Name.Local] = a.Value
		}
	}
	if len(allowed) > 0 {
		assert.NotEmpty(t, found[allowed[0]], "%s has %s", e.Name.Local, allowed[0])
	}
	switch e.Name.Local {
	case "scxml":
		assert.Equal(t, "1.0", found["version"])
		assert.Equal(t, "ecmascript", found["datamodel"])
		assert.Regexp(t, `^[A-Za-z_][A-Za-z0-9_]*$`, found["name"])
		r.targets = append(r.targets, found["initial"])
	case "data":
		r.data = append(r.data, found["id"])
	case "state":
		r.states = append(r.states, found["id"])
	case "transition":
		r.awaited = append(r.awaited, found["event"])
		if target, ok := found["target"]; ok {
			r.targets = append(r.targets, target)
		}
		assert.Contains(t, []string{"", "internal"}, found["type"])
	case "assign":
		assert.NotEmpty(t, found["expr"])
		r.locations = append(r.locations, found["location"])
	case "raise":
		r.raised = append(r.raised, found["event"])
	}
	r.scripts = append(r.scripts, found["expr"], found["cond"])
}

// validChart holds a chart to what needs no interpreter: elements and attributes, ids that are given once,
// targets, variables and events that there are.
func validChart(t require.TestingT, text string) {
	r := readChart(t, text)
	ids := slices.Concat(r.states, r.data)
	for _, id := range ids {
		assert.Regexp(t, `^[A-Za-z][A-Za-z0-9_]*$`, id)
	}
	slices.Sort(ids)
	assert.Len(t, slices.Compact(slices.Clone(ids)), len(ids), "an id is given once")
	for _, target := range r.targets {
		assert.Contains(t, r.states, target)
	}
	for _, location := range r.locations {
		assert.Contains(t, r.data, location)
	}
	for _, event := range r.raised {
		assert.True(t, slices.Contains(r.awaited, event) || event == "decide.own", "%s is awaited by some state", event)
	}
	for _, event := range r.awaited {
		assert.True(t, slices.Contains(r.raised, event) || event == "scan" || event == "operation", "%s is raised", event)
	}
	r.variables(t)
}

// variables looks for words in the expressions that nothing declares.
func (r *read) variables(t require.TestingT) {
	known := strings.Fields("_event Math Infinity JSON function var return true false In time_ns rest time_s met before count x angle_deg")
	strs := regexp.MustCompile(`(?s)'(?:[^'\\]|\\.)*'|//[^\n]*|\b[0-9][0-9.]*(?:e[-+]?[0-9]+)?|\.\s*[A-Za-z_0-9]+|[A-Za-z_0-9]+:`)
	words := regexp.MustCompile(`[A-Za-z_][A-Za-z_0-9]*`)
	for _, f := range regexp.MustCompile(`function (\w+)`).FindAllStringSubmatch(strings.Join(r.scripts, "\n"), -1) {
		known = append(known, f[1])
	}
	for _, script := range r.scripts {
		for _, word := range words.FindAllString(strs.ReplaceAllString(script, " "), -1) {
			assert.True(t, slices.Contains(known, word) || slices.Contains(r.data, word), "%s is declared, in %s", word, script)
		}
	}
}
