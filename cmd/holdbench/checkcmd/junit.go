package checkcmd

import (
	"encoding/xml"
	"fmt"
	"io"
	"strings"

	"github.com/jstemmer/go-junit-report/v2/junit"

	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
)

// report is the JUnit file of a check. It is opened before anything runs, so that a
// place that cannot be written to is found early.
type report struct{ to *files.Target }

// openReport opens the file; without a path there is no report.
func openReport(path string, stdout io.Writer) (*report, error) {
	if path == "" {
		return &report{}, nil
	}
	t, err := files.Create(path, stdout)
	if err != nil {
		return nil, err
	}
	return &report{t}, nil
}

// write writes the report and puts it in its place.
func (r *report) write(items []*item) error {
	if r.to == nil {
		return nil
	}
	suites := junitSuites(items)
	_, err := r.to.WriteString(xml.Header)
	if err == nil {
		err = suites.WriteXML(r.to)
	}
	if err != nil {
		r.to.Abandon()
		return files.CannotWrite(r.to.Path, err)
	}
	return r.to.Close()
}

// abandon leaves the file as it was.
func (r *report) abandon() {
	if r.to != nil {
		r.to.Abandon()
	}
}

// junitSuites is a suite a group. Times are simulated times: the same in every run.
func junitSuites(items []*item) junit.Testsuites {
	suites := junit.Testsuites{Name: "holdbench check"}
	total := 0.0
	for len(items) > 0 {
		n := 1
		for n < len(items) && items[n].group == items[0].group {
			n++
		}
		suite, took := junitSuite(items[:n], len(suites.Suites))
		suites.AddSuite(suite)
		total += took
		items = items[n:]
	}
	suites.Time = junitTime(total)
	return suites
}

func junitSuite(items []*item, id int) (junit.Testsuite, float64) {
	suite := junit.Testsuite{Name: page.CleanLine(items[0].group), ID: id}
	took := 0.0
	for _, i := range items {
		suite.AddTestcase(junitCase(i))
		if i.result != nil {
			took += i.result.DurationS
		}
	}
	suite.Time = junitTime(took)
	return suite, took
}

func junitTime(s float64) string { return fmt.Sprintf("%.3f", s) }

func junitCase(i *item) junit.Testcase {
	c := junit.Testcase{Name: page.CleanLine(i.name), Classname: page.CleanLine(i.group)}
	switch i.word() {
	case "unusable":
		c.Error = &junit.Result{Message: "unusable", Type: "document", Data: cdata(i.err.Error())}
		return c
	case "not run":
		c.Skipped = &junit.Result{Message: "interrupted before it ran"}
		return c
	}
	r := i.result
	c.Time = junitTime(r.DurationS)
	if r.Met() {
		return c
	}
	differences, broken := tapDifferences(r)
	message := page.Count(len(differences), "difference", "differences")
	var text []string
	if stopped := stopLine(r); stopped != "" { // ahead of what follows from it
		message, text = stopped+"; "+message, append(text, stopped)
	}
	for _, d := range differences {
		text = append(text, fmt.Sprintf("%s: expected %s, got %s", d.Name, page.OrNothing(d.Wanted), page.OrNothing(d.Found)))
	}
	text = append(text, broken...)
	c.Failure = &junit.Result{Message: message, Type: "expectation", Data: cdata(strings.Join(text, "\n"))}
	return c
}

// cdata keeps text from ending the section that it stands in.
func cdata(text string) string { return strings.ReplaceAll(page.Clean(text), "]]>", "]] >") }
