package st

// walkStatements calls f for every statement of a list and those within them.
func walkStatements(list []statement, f func(statement)) {
	for _, s := range list {
		f(s)
		for _, inner := range bodiesOf(s) {
			walkStatements(inner, f)
		}
	}
}

// bodiesOf are the lists of statements within a statement.
func bodiesOf(s statement) [][]statement {
	switch s := s.(type) {
	case *ifStmt:
		lists := make([][]statement, 0, len(s.branches)+1)
		for _, b := range s.branches {
			lists = append(lists, b.body)
		}
		return append(lists, s.orElse)
	case *caseStmt:
		lists := make([][]statement, 0, len(s.branches)+1)
		for _, b := range s.branches {
			lists = append(lists, b.body)
		}
		return append(lists, s.orElse)
	case *forStmt:
		return [][]statement{s.body}
	case *whileStmt:
		return [][]statement{s.body}
	case *repeatStmt:
		return [][]statement{s.body}
	}
	return nil
}

// reads are the expressions that a statement itself evaluates, not those of statements in it.
func reads(s statement) []expr {
	switch s := s.(type) {
	case *assignStmt:
		return append(indexesOf(s.target), s.value)
	case *callStmt:
		return callReads(s)
	case *ifStmt:
		var list []expr
		for _, b := range s.branches {
			list = append(list, b.condition)
		}
		return list
	case *caseStmt:
		return []expr{s.selector}
	case *forStmt:
		list := []expr{s.from, s.to}
		if s.by != nil {
			list = append(list, s.by)
		}
		return list
	case *whileStmt:
		return []expr{s.condition}
	case *repeatStmt:
		return []expr{s.until}
	}
	return nil
}

func callReads(s *callStmt) []expr {
	args := s.args
	var list []expr
	if s.function != nil {
		return []expr{s.function}
	}
	list = append(list, indexesOf(s.instance)...)
	for _, a := range args {
		if a.value != nil && !a.output {
			list = append(list, a.value)
		}
	}
	return list
}

// indexesOf are the indexes within a variable that is written.
func indexesOf(e expr) []expr {
	switch e := e.(type) {
	case *fieldExpr:
		return indexesOf(e.of)
	case *indexExpr:
		return append(indexesOf(e.of), e.indexes...)
	}
	return nil
}

// writes are the variables that a statement itself writes.
func writes(s statement) []expr {
	switch s := s.(type) {
	case *assignStmt:
		return []expr{s.target}
	case *forStmt:
		return []expr{s.variable}
	case *callStmt:
		args := s.args
		if s.function != nil {
			args = s.function.args
		}
		return writtenArguments(args)
	}
	return nil
}

func writtenArguments(args []argument) []expr {
	var list []expr
	for _, a := range args {
		if a.value != nil && (a.output || a.param != nil && a.param.Section == InOut) {
			list = append(list, a.value)
		}
	}
	return list
}

// rootVariable is the declared variable that an expression is, or is a part of.
func rootVariable(e expr) *Variable {
	switch e := e.(type) {
	case *nameExpr:
		return e.variable
	case *fieldExpr:
		return rootVariable(e.of)
	case *indexExpr:
		return rootVariable(e.of)
	}
	return nil
}

// walkExpr calls f for an expression and all within it.
func walkExpr(e expr, f func(expr)) {
	f(e)
	switch e := e.(type) {
	case *fieldExpr:
		walkExpr(e.of, f)
	case *indexExpr:
		walkExpr(e.of, f)
		for _, i := range e.indexes {
			walkExpr(i, f)
		}
	case *unaryExpr:
		walkExpr(e.x, f)
	case *binaryExpr:
		walkExpr(e.x, f)
		walkExpr(e.y, f)
	case *parenExpr:
		walkExpr(e.x, f)
	case *callExpr:
		for _, a := range e.args {
			if a.value != nil {
				walkExpr(a.value, f)
			}
		}
	}
}
