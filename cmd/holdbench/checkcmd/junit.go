package checkcmd

import (
	"encoding/xml"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"
	"time"

	"github.com/jstemmer/go-junit-report/v2/junit"

	"holdbench/cmd/holdbench/internal/command"
	"holdbench/cmd/holdbench/internal/files"
	"holdbench/cmd/holdbench/internal/page"
	"holdbench/scenarios"
)

// report is the JUnit file of a check. It is opened before anything runs, so that a
// place that cannot be written to is found early.
type report struct {
	to      *files.Target
	folders []scenarios.Contents
}

// openReport opens the file; without a path there is no report.
func openReport(path string, stdout io.Writer) (*report, error) {
	if path == "" {
		return &report{}, nil
	}
	t, err := files.Create(path, stdout)
	if err != nil {
		return nil, err
	}
	return &report{to: t}, nil
}

// write writes the report and puts it in its place.
func (r *report) write(items []*item) error {
	if r.to == nil {
		return nil
	}
	suites := junitSuites(items, r.folders)
	_, err := r.to.WriteString(xml.Header)
	if err == nil {
		err = suites.writeXML(r.to)
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

// junitReport is a report of the library, whose cases have properties too.
type junitReport struct {
	junit.Testsuites
	Suites []junitGroup `xml:"testsuite,omitempty"`
}

type junitGroup struct {
	junit.Testsuite
	Testcases []junitRun `xml:"testcase,omitempty"`
}

type junitRun struct {
	junit.Testcase
	Properties *[]junit.Property `xml:"properties>property,omitempty"`
}

// writeXML writes the report.
func (r *junitReport) writeXML(w io.Writer) error {
	encoder := xml.NewEncoder(w)
	encoder.Indent("", "\t")
	if err := encoder.EncodeElement(r, xml.StartElement{Name: xml.Name{Local: "testsuites"}}); err != nil {
		return err
	}
	_, err := io.WriteString(w, "\n")
	return err
}

// junitSuites is a suite a group. Times are by the clock: those of a group and of the whole are sums of
// what the runs took. A group from a folder has as a property what was seen there.
func junitSuites(items []*item, folders []scenarios.Contents) *junitReport {
	report := &junitReport{Testsuites: junit.Testsuites{Name: "holdbench check"}}
	total := time.Duration(0)
	for len(items) > 0 {
		n := 1
		for n < len(items) && items[n].group == items[0].group {
			n++
		}
		suite, took := junitSuite(items[:n], len(report.Suites))
		for i := range folders {
			if slices.Contains(folders[i].Scenarios, items[0].name) {
				suite.AddProperty("documents", page.CleanLine(folders[i].String()))
			}
		}
		report.AddSuite(suite.Testsuite)
		report.Suites = append(report.Suites, suite)
		total += took
		items = items[n:]
	}
	report.Time = junitTime(total)
	return report
}

func junitSuite(items []*item, id int) (junitGroup, time.Duration) {
	suite := junitGroup{Testsuite: junit.Testsuite{Name: page.CleanLine(items[0].group), ID: id}}
	suite.AddProperty("version", command.Version())
	took := time.Duration(0)
	for _, i := range items {
		run := junitRun{Testcase: junitCase(i)}
		if i.result != nil {
			list := []junit.Property{
				{Name: "simulated_s", Value: strconv.FormatFloat(i.result.DurationS, 'f', -1, 64)},
				{Name: "class", Value: string(i.result.Class)},
			}
			if left := i.result.NotApplied; len(left) > 0 {
				list = append(list, junit.Property{Name: "expectations_not_applied", Value: page.CleanLine(strings.Join(left, ", "))})
			}
			for _, text := range i.result.WithoutEffect() {
				list = append(list, junit.Property{Name: "fault_without_effect", Value: page.CleanLine(text)})
			}
			run.Properties = &list
		}
		suite.AddTestcase(run.Testcase)
		suite.Testcases = append(suite.Testcases, run)
		took += i.took
	}
	suite.Time = junitTime(took)
	return suite, took
}

func junitTime(d time.Duration) string { return fmt.Sprintf("%.3f", d.Seconds()) }

func junitCase(i *item) junit.Testcase {
	c := junit.Testcase{Name: page.CleanLine(i.name), Classname: page.CleanLine(i.group), Time: junitTime(i.took)}
	switch i.word() {
	case "unusable":
		c.Error = &junit.Result{Message: "unusable", Type: "document", Data: cdata(i.err.Error())}
		return c
	case "not run":
		c.Skipped = &junit.Result{Message: "interrupted before it ran"}
		return c
	}
	r := i.result
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
