package export

import (
	"fmt"
	"slices"
	"strings"

	"holdbench/sequence"
)

// SCXML writes a sequence as State Chart XML, W3C Recommendation of 1 September 2015, with the data
// model ecmascript of its annex B.2. The chart does in every scan what the sequence does: a scan is one
// event of the host, and all else is decided by events that the chart raises itself, one after the other:
//
//	scan        the image is taken over, time is counted; begin stands for it in the first scan
//	count.any   how long the conditions of the transitions from any state have held
//	decide.any  the first of them that is due is taken; if none is:
//	count.own   the same for the present state
//	decide.own  the first of its transitions that is due is taken
//	entered     raised by the state that was entered: its counts begin, its outputs are logged
//	run.new     raised by an end that is left: what is counted in a run begins anew
//
// The machine tries the transitions from any state first. A chart tries those of the inner state first,
// which is why they have an event of their own, that no state within looks at.
func SCXML(p *sequence.Program, h Heading) string {
	w := &chartWriter{program: p, heading: h, ids: newChartNames(), out: &strings.Builder{}}
	w.nameAll()
	states := w.written(func() {
		w.beforeTheFirstScan()
		w.line(0, "")
		w.line(1, `<state id="%s">`, w.own.running)
		w.common()
		for i := range p.States() {
			w.state(&p.States()[i])
		}
		w.line(1, "</state>")
	})
	w.head()
	w.line(0, `<scxml xmlns="http://www.w3.org/2005/07/scxml" version="1.0" datamodel="ecmascript" name="%s" initial="%s">`,
		chartName(p.About().Name), w.own.powerOff)
	w.data()
	w.script(states)
	w.out.WriteString(states)
	w.line(0, "</scxml>")
	return shown(w.out.String())
}

// The events of a chart.
const (
	eventScan      = "scan"
	eventOperation = "operation"
	eventBegin     = "begin"
	eventCountAny  = "count.any"
	eventDecideAny = "decide.any"
	eventCountOwn  = "count.own"
	eventDecideOwn = "decide.own"
	eventEntered   = "entered"
	eventNewRun    = "run.new"
)

// chartWriter writes one chart.
type chartWriter struct {
	program *sequence.Program
	heading Heading
	ids     *chartNames
	own     chartOwn
	out     *strings.Builder

	given, computed       []*sequence.ParamValue // parameters that are read, the computed ones in order
	params, kept, outputs map[string]string      // id by name
	firings               map[string]string      // id of the count by event, of transitions with times
	may                   map[string]string      // id of the flag by target, where a state opts out of it
	mayOrder              []string
	heldAny               map[string]string // id of the count by event, of transitions from any state
	heldOwn               []string          // ids of the counts that the states share
	reads                 map[string]bool   // inputs, as previous(x) too
}

// chartOwn are the ids of what is not in the document.
type chartOwn struct {
	powerOff, operation, running        string // states
	input, previous, scans, scanNS      string
	inStateScans, inState, wasInState   string
	cause, causeIsOld, brake2Apart      string
	least, seconds, held, sign, cosines string // functions
}

func (w *chartWriter) line(depth int, format string, values ...any) {
	text := fmt.Sprintf(format, values...)
	if text != "" {
		w.out.WriteString(strings.Repeat("  ", depth))
	}
	w.out.WriteString(text + "\n")
}

// comment writes a comment, broken into lines.
func (w *chartWriter) comment(depth int, text string) {
	words := strings.Fields(xmlComment(text))
	w.line(depth, "<!-- %s -->", wrapped(words, " ", "\n"+strings.Repeat("  ", depth)+"     ", widest-2*depth-9))
}

// assign writes that a variable takes a value.
func (w *chartWriter) assign(depth int, location, value string) {
	w.line(depth, `<assign location="%s" expr="%s"/>`, location, xmlAttribute(value))
}

func (w *chartWriter) raise(depth int, event string) { w.line(depth, `<raise event="%s"/>`, event) }

// written is what a function writes.
func (w *chartWriter) written(write func()) string {
	whole := w.out
	w.out = &strings.Builder{}
	write()
	text := w.out.String()
	w.out = whole
	return text
}

// block writes an element, and nothing where nothing is in it.
func (w *chartWriter) block(depth int, element string, write func()) {
	text := w.written(write)
	if text == "" {
		return
	}
	w.line(depth, "<%s>", element)
	w.out.WriteString(text)
	w.line(depth, "</%s>", element)
}

// edges are all transitions, those from any state first.
func (w *chartWriter) edges() []*sequence.Edge { return edgesOf(w.program) }

// applies is whether the transitions from any state to one leave a state.
func (w *chartWriter) applies(s *sequence.DocumentState, to string) bool {
	k := slices.IndexFunc(w.program.Any(), func(e sequence.Edge) bool { return e.To == to })
	return s.Any[k]
}
