package sequence

import "holdbench/plant/problem"

// ResolveParams computes the parameters of a sequence that has no states of its own here, with
// values in place of some, and which of them has which role. Problems have the paths of a document:
// $.params, $.roles, and the [ValuePath] of a value.
func ResolveParams(params Params, roles Roles, values Values) ([]ParamValue, map[string]string, problem.List) {
	a := &analysis{doc: Document{Params: params, Roles: roles}, values: values, scope: newScope(), index: map[string]int{}}
	a.resolveParams()
	a.readRoles()
	a.inOrder()
	return a.params, a.roles, a.problems
}
