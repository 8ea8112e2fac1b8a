package reportcmd

import (
	"fmt"
	"html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"

	"holdbench/cmd/holdbench/internal/clitest"
	"holdbench/cmd/holdbench/internal/command"
)

// A small record is read whole, but for its style sheet.
func TestSmallRecord(t *testing.T) {
	page := made(t, command.ExitOK, "testdata/small/stops.yaml", "--machine", "test stand", "--author", "A. Weber", "--date", "2026-03-02")
	_, body, found := strings.Cut(page, "</style>")
	require.True(t, found)
	clitest.Golden(t, "small", "record.html", body)
}

// Every link within the page leads somewhere, and no two places have the same name: with all test cases
// and with those alone that are not as expected, which leave places out.
func TestLinksResolve(t *testing.T) {
	folder := t.TempDir()
	place(t, folder, "differs.yaml", "scenario: differs\ntitle: Not as expected\nrig: pane-hoist\nsequence: reference\nexpect: {class: caught, obligations: all}\n")
	place(t, folder, "broken.yaml", "scenario: broken\ntitle: A rig that is not there\nrig: pane-hoits\nsequence: reference\nexpect: {end: pass}\n")
	for _, only := range [][]string{nil, {"--only", "failed"}} {
		page := made(t, command.ExitWrong, append([]string{"healthy-down", "transmission-severed", "severed-with-both-on-the-motor", "lining-worn-thin", folder}, only...)...)
		linksResolve(t, page)
		assert.Contains(t, page, ">not as expected<")
		assert.Contains(t, page, "there is no rig &#34;pane-hoits&#34;")
		assert.Equal(t, only == nil, strings.Contains(page, "<h4 id=\"case-1\">"), "a test case that is as expected has its page")
	}
}

func linksResolve(t *testing.T, page string) {
	t.Helper()
	there := map[string]bool{}
	for _, id := range regexp.MustCompile(` id="([^"]*)"`).FindAllStringSubmatch(page, -1) {
		assert.False(t, there[id[1]], "%s is there twice", id[1])
		there[id[1]] = true
	}
	links := regexp.MustCompile(`href="#([^"]*)"`).FindAllStringSubmatch(page, -1)
	require.NotEmpty(t, links)
	for _, link := range links {
		assert.True(t, there[link[1]], "#%s leads nowhere", link[1])
	}
	assert.NotRegexp(t, `(?i)(href|src)="(https?:|file:|//)`, page, "something from outside")
	assert.NotContains(t, page, "<script")
}

// Texts of documents and flags are texts, whatever they look like: in the page, its style and its diagrams.
func TestTextsAreNoMarkup(t *testing.T) {
	const bad = `</style></title><img src=x onerror=alert(1)><script>alert(2)</script>&amp;"'` + "`{{.}}"
	quoted := strconv.Quote(bad)
	folder := t.TempDir()
	place(t, folder, "q.yaml", "sequence: marked\nnote: "+quoted+"\nstart: ready\nstates:\n  ready:\n    note: "+quoted+
		"\n    set: {drive: hold, brake: open}\n    go: [{to: done, when: trigger, cause: marked}]\n  done: {note: "+quoted+", set: {alarm: "+quoted+"}}\nends: {done: fail}\n")
	rig, err := os.ReadFile("../../../scenarios/rigs/pane-hoist.yaml")
	require.NoError(t, err)
	place(t, folder, "r.yaml", regexp.MustCompile(`(?m)^title:.*$`).ReplaceAllLiteralString(string(rig), "title: "+quoted))
	place(t, folder, "s.yaml", "scenario: marked\ntitle: "+quoted+"\nteaches: "+quoted+"\nremedy: "+quoted+
		"\nrig: r.yaml\nsequence: q.yaml\nexpect: {end: fail, outputs: {done: {alarm: "+quoted+"}}, obligations: [{broken: no-drop, why: "+quoted+"}]}\n")
	place(t, folder, "m.jsonl", `{"mutant":`+quoted+`,"operator":`+quoted+`,"fate":"survived","missing":`+quoted+"}\n")
	place(t, folder, "l.json", `{"life":`+quoted+`,"sequence":`+quoted+`,"information":`+quoted+`,"by_interval":[{"interval_h":8}]}`)
	place(t, folder, "w.json", `{"sweep":`+quoted+`,"done":1,"spreads":[{"key":`+quoted+`,"as":`+quoted+`}],"no_fit":`+quoted+`,"curve":[{"mean":1,"of":1}]}`)
	place(t, folder, "p.jsonl", `{"probe":`+quoted+`,"rig":`+quoted+`,"sequence":`+quoted+`,"documents":"x","faults":[`+quoted+`]}`+"\n"+
		`{"fault":`+quoted+`,"state":`+quoted+`,"kind":"broken","cause":`+quoted+`,"broken":[`+quoted+`]}`+"\n")
	in := func(name string) string { return filepath.Join(folder, name) }
	page := made(t, command.ExitBroken, in("s.yaml"), "--title", bad, "--machine", bad, "--author", bad, "--date", bad,
		"--mutation", in("m.jsonl"), "--life", in("l.json"), "--sweep", in("w.json"), "--probe", in("p.jsonl"))
	assert.NotContains(t, page, "<img")
	assert.NotContains(t, page, "<script")
	assert.Equal(t, 1, strings.Count(page, "</style>"))
	assert.Equal(t, 1, strings.Count(page, "</title><style>")+strings.Count(page, "</title>\n<style>"))
	assert.Greater(t, strings.Count(html.UnescapeString(page), "onerror=alert(1)"), 20, "the texts are there as they are")
	linksResolve(t, page)
}

func place(t *testing.T, folder, name, text string) {
	t.Helper()
	require.NoError(t, os.WriteFile(filepath.Join(folder, name), []byte(text), 0o600))
}

// Others read the page too: html-validate, which the variable HOLDBENCH_HTML_VALIDATE names, and a browser,
// HOLDBENCH_CHROMIUM, which lays it out for a wide and a narrow window and prints it. .ci/run sets them.
func TestOthersReadTheRecord(t *testing.T) {
	validate, browser := os.Getenv("HOLDBENCH_HTML_VALIDATE"), os.Getenv("HOLDBENCH_CHROMIUM")
	if validate == "" && browser == "" {
		t.Skip("neither HOLDBENCH_HTML_VALIDATE nor HOLDBENCH_CHROMIUM is set")
	}
	for name, c := range map[string]struct {
		args   []string
		sheets int // at most
	}{
		"one sequence":  {[]string{"healthy-down", "lining-worn-thin", "acknowledged-with-the-stop-pressed"}, 19},
		"two sequences": {[]string{"healthy-down", "lining-worn-thin", "second-brake-worn"}, 34},
		"program":       {[]string{"healthy-down", "--sequence", "reference-case"}, 30},
	} {
		t.Run(name, func(t *testing.T) {
			page := filepath.Join(t.TempDir(), "record.html")
			text := made(t, command.ExitOK, c.args...)
			require.NoError(t, os.WriteFile(page, []byte(text), 0o600))
			if validate != "" {
				place(t, filepath.Dir(page), ".htmlvalidate.json", `{"root": true, "extends": ["html-validate:recommended"]}`)
				out, err := exec.Command(validate, page).CombinedOutput() //nolint:gosec // the test names it
				require.NoError(t, err, string(out))
			}
			if browser != "" {
				laidOut(t, browser, page, text, c.sheets)
			}
		})
	}
}

// laidOut has a browser lay a page out for windows and for paper, and print it on no more sheets than it is worth.
func laidOut(t *testing.T, browser, page, text string, sheets int) {
	t.Helper()
	printed := strings.Replace(text, "@media print", "@media all", 1)
	require.NotEqual(t, text, printed)
	nothingIsCut(t, browser, text, 500)
	nothingIsCut(t, browser, text, 1300)
	nothingIsCut(t, browser, printed, 691)                                                                                                                               // A4 less its margins, at 96 dots an inch
	out, err := exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--no-pdf-header-footer", "--print-to-pdf="+page+".pdf", page).CombinedOutput() //nolint:gosec // the test names it
	require.NoError(t, err, string(out))
	pdf, err := os.ReadFile(page + ".pdf")
	require.NoError(t, err)
	count := len(regexp.MustCompile(`/Type /Page\b`).FindAll(pdf, -1))
	assert.Greater(t, count, 10)
	assert.LessOrEqual(t, count, sheets)
}

// nothingIsCut requires that whatever is wider than the window can be scrolled to, and on paper that nothing is.
func nothingIsCut(t *testing.T, browser, text string, width int) {
	t.Helper()
	probe := fmt.Sprintf(`<script>document.body.style.width = "%[1]dpx"; document.body.style.margin = 0;
const cut = [...document.querySelectorAll("main *, header *, nav *")].filter(e => !e.closest("svg") && !(getComputedStyle(e.closest(".wide, pre") ?? document.body).overflowX == "auto") &&
  e.getBoundingClientRect().width > 0 && e.getBoundingClientRect().right > %[1]d + 2).map(e => e.tagName + " " + e.className + " " + e.textContent.slice(0, 40));
document.body.textContent = "CUT" + cut.length + ": " + cut.slice(0, 5).join("; ");</script></body>`, width)
	file := filepath.Join(t.TempDir(), "page.html")
	require.NoError(t, os.WriteFile(file, []byte(strings.Replace(text, "</body>", probe, 1)), 0o600))
	out, err := exec.Command(browser, "--headless=new", "--no-sandbox", "--disable-gpu", "--window-size="+strconv.Itoa(width)+",900", "--dump-dom", file).Output() //nolint:gosec // the test names it
	require.NoError(t, err)
	assert.Contains(t, string(out), "CUT0:", "at a width of %d", width)
}

// States of a probe stand in the order of their sequence, and as they are where it has others.
func TestStatesAreInOrder(t *testing.T) {
	assert.Equal(t, []string{"a", "c"}, inOrder([]string{"c", "a"}, []string{"a", "b", "c"}))
	assert.Equal(t, []string{"x", "a"}, inOrder([]string{"x", "a"}, []string{"a", "b"}))
}
