package sequence

import (
	"fmt"
	"strconv"
	"strings"
)

// Severity ranks a finding.
type Severity uint8

// SeverityError keeps a document from running; SeverityWarning does not.
const (
	SeverityWarning Severity = iota
	SeverityError
)

// String names the severity.
func (s Severity) String() string { return wordAt(int(s), "warning", "error") }

// Finding is one thing to be said about a document: what was found and what
// would be right. The package knows no files, so a finding tells the place
// within the document.
type Finding struct {
	Path     string // path of goccy/go-yaml: $.states.travel.go[0].when
	Column   int    // character within the scalar there, from 1; 0 is the whole
	Value    string // name of the overriding value concerned; "" for the document itself
	Severity Severity
	Message  string
}

// String writes the finding on one line.
func (f Finding) String() string {
	place := f.Path
	if f.Value != "" {
		place = "value of " + f.Value
	}
	if f.Column > 0 {
		place += fmt.Sprintf(" column %d", f.Column)
	}
	return fmt.Sprintf("%s: %s: %s", place, f.Severity, f.Message)
}

// FindingsError carries all findings of severity error of a document.
type FindingsError struct {
	Sequence string
	Findings []Finding
}

// Error lists the findings, one a line.
func (e *FindingsError) Error() string {
	lines := make([]string, 0, len(e.Findings)+1)
	lines = append(lines, fmt.Sprintf("sequence %q has %d errors", e.Sequence, len(e.Findings)))
	for _, f := range e.Findings {
		lines = append(lines, f.String())
	}
	return strings.Join(lines, "\n")
}

// pathKey appends one key to a path, quoted as goccy/go-yaml wants it.
func pathKey(path, key string) string {
	if key == "" {
		return path // a path cannot name an empty key: point at what holds it
	}
	if strings.ContainsAny(key, "$*.[]'\\ ") {
		key = "'" + strings.NewReplacer(`\`, `\\`, `'`, `\'`).Replace(key) + "'"
	}
	return path + "." + key
}

// readablePath cuts a path off before a key with a quote or a backslash in it,
// whose escape goccy/go-yaml writes but cannot read back.
func readablePath(path string) string {
	if i := strings.IndexByte(path, '\\'); i >= 0 {
		return path[:max(strings.LastIndex(path[:i], ".'"), 0)]
	}
	return path
}

func pathIndex(path string, i int) string { return path + "[" + strconv.Itoa(i) + "]" }
