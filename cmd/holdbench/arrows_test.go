package main

import (
	"go/parser"
	"go/token"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/goccy/go-yaml"
	"github.com/stretchr/testify/assert"
	"github.com/stretchr/testify/require"
)

// module is the module's own name, ahead of every import of its packages.
const module = "holdbench/"

// repository is the module's root.
const repository = "../.."

// arrow is what depguard lets a package import: names of packages of ours, with a $ at the end.
type arrow struct {
	Files []string `yaml:"files"`
	Allow []string `yaml:"allow"`
	Deny  []struct {
		Pkg string `yaml:"pkg"`
	} `yaml:"deny"`
}

// arrows reads the table of the linter: a rule a package, under the package's folder. Rules for
// something else are left out.
func arrows(t *testing.T) map[string]arrow {
	t.Helper()
	text, err := os.ReadFile(filepath.Join(repository, ".golangci.yml"))
	require.NoError(t, err)
	var config struct {
		Linters struct {
			Settings struct {
				Depguard struct {
					Rules map[string]arrow `yaml:"rules"`
				} `yaml:"depguard"`
			} `yaml:"settings"`
		} `yaml:"linters"`
	}
	require.NoError(t, yaml.Unmarshal(text, &config))
	rules := config.Linters.Settings.Depguard.Rules
	maps.DeleteFunc(rules, func(_ string, a arrow) bool { return len(a.Deny) != 1 || a.Deny[0].Pkg+"/" != module })
	require.NotEmpty(t, rules)
	return rules
}

// imports are the packages of ours that each folder imports, its tests apart.
type imports struct{ code, tests map[string][]string }

func ourImports(t *testing.T) imports {
	t.Helper()
	found := imports{map[string][]string{}, map[string][]string{}}
	err := filepath.WalkDir(repository, func(file string, d fs.DirEntry, err error) error {
		switch {
		case err != nil:
			return err
		case d.IsDir() && (d.Name() == "testdata" || strings.HasPrefix(d.Name(), ".") && file != repository):
			return filepath.SkipDir
		case d.IsDir() || !strings.HasSuffix(file, ".go"):
			return nil
		}
		folder, err := filepath.Rel(repository, filepath.Dir(file))
		if err != nil {
			return err
		}
		to := found.code
		if strings.HasSuffix(file, "_test.go") {
			to = found.tests
		}
		list, err := importsOf(file)
		folder = filepath.ToSlash(folder)
		to[folder] = append(to[folder], list...)
		return err
	})
	require.NoError(t, err)
	require.NotEmpty(t, found.code)
	return found
}

func importsOf(file string) ([]string, error) {
	tree, err := parser.ParseFile(token.NewFileSet(), file, nil, parser.ImportsOnly)
	if err != nil {
		return nil, err
	}
	var list []string
	for _, i := range tree.Imports {
		name, err := strconv.Unquote(i.Path.Value)
		if err != nil {
			return nil, err
		}
		if inside, ours := strings.CutPrefix(name, module); ours {
			list = append(list, inside)
		}
	}
	return list, nil
}

// Every package has a rule, the rule is for its files, and it imports what the rule lets it
// import: all of that, or the rule is out of date.
func TestArrows(t *testing.T) {
	table, found := arrows(t), ourImports(t)
	for folder := range table {
		assert.Contains(t, found.code, folder, "a rule of depguard in .golangci.yml without a package")
	}
	for folder, imported := range found.code {
		rule, ok := table[folder]
		if !assert.True(t, ok, "%s has no rule of depguard in .golangci.yml", folder) {
			continue
		}
		assert.Equal(t, []string{"**/" + folder + "/*.go", "!$test"}, rule.Files, "files of the rule for %s", folder)
		for _, name := range imported {
			assert.Contains(t, rule.Allow, module+name+"$", "%s imports %s; if that is right it belongs into .golangci.yml", folder, name)
		}
		for _, name := range rule.Allow {
			inside := strings.TrimPrefix(strings.TrimSuffix(name, "$"), module)
			assert.Contains(t, imported, inside, "%s may import %s by .golangci.yml, and does not", folder, name)
		}
	}
}

// What holds whatever the table says: nothing but the program and the program's own packages
// import from cmd, and no command imports another, its tests neither, so that a change of one
// runs the tests of no other again.
func TestCommandsStandAlone(t *testing.T) {
	found := ourImports(t)
	for folder, imported := range found.code {
		for _, name := range imported {
			assert.False(t, strings.HasPrefix(name, program) && !strings.HasPrefix(folder, program), "%s imports %s", folder, name)
		}
	}
	for _, folders := range []map[string][]string{found.code, found.tests} {
		for folder, imported := range folders {
			for _, name := range imported {
				assert.False(t, isCommand(name) && name != folder && folder != program, "%s imports the command %s", folder, name)
			}
		}
	}
}

// Whoever writes comma-separated values keeps texts from being read as formulas.
func TestWritersOfCSVWriteNoFormulas(t *testing.T) {
	writers := 0
	err := filepath.WalkDir(repository, func(file string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(file, ".go") || strings.HasSuffix(file, "_test.go") {
			return err
		}
		text, err := os.ReadFile(file)
		if strings.Contains(string(text), "csv.NewWriter(") {
			writers++
			assert.Contains(t, string(text), "csvcell.", "%s", file)
		}
		return err
	})
	require.NoError(t, err)
	assert.Positive(t, writers)
}

// program is the folder of the program.
const program = "cmd/holdbench"

func isCommand(folder string) bool {
	return path.Dir(folder) == program && strings.HasSuffix(folder, "cmd")
}
