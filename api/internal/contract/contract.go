// Package contract holds requests against openapi.yaml, the contract, and says in plain words what of a request does
// not keep to it.
package contract

import (
	"encoding/json"
	"errors"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"github.com/getkin/kin-openapi/openapi3"
	"github.com/labstack/echo/v4"

	"evenpull/internal/fleet"
	"evenpull/internal/strictjson"
)

// Contract is openapi.yaml, read once.
type Contract struct {
	doc    *openapi3.T
	AsJSON []byte // for those who do not read YAML
}

// Read reads the contract.
func Read(document []byte) (*Contract, error) {
	doc, err := openapi3.NewLoader().LoadFromData(document)
	if err != nil {
		return nil, fmt.Errorf("reading the contract: %w", err)
	}
	asJSON, err := json.Marshal(doc)
	if err != nil {
		return nil, fmt.Errorf("writing the contract as JSON: %w", err)
	}
	return &Contract{doc: doc, AsJSON: asJSON}, nil
}

// schema is a schema of the contract by its name, which must be there.
func (k *Contract) schema(name string) *openapi3.Schema { return k.doc.Components.Schemas[name].Value }

// Fill puts a JSON value into the type generated for a schema of the contract, and refuses one that does not keep to
// it.
func (k *Contract) Fill(into, value any, schema string) error {
	faults := new(fleet.Faults)
	addTo(faults, faultsOf(k.schema(schema), value, ""))
	if err := faults.Err(); err != nil {
		return err
	}
	return strictjson.Fill(into, value).Err()
}

// Operation finds what the contract says of a route, written as Echo writes it: /v1/sleds/:sled.
func (k *Contract) Operation(method, route string) (Operation, bool) {
	parts := strings.Split(route, "/")
	for i, part := range parts {
		if name, is := strings.CutPrefix(part, ":"); is {
			parts[i] = "{" + name + "}"
		}
	}
	item := k.doc.Paths.Value(strings.Join(parts, "/"))
	if item == nil || item.GetOperation(method) == nil {
		return Operation{}, false
	}
	found := Operation{Operation: item.GetOperation(method), query: map[string]*openapi3.Parameter{}}
	for _, ref := range append(append(openapi3.Parameters{}, item.Parameters...), found.Parameters...) {
		switch p := ref.Value; p.In {
		case openapi3.ParameterInQuery:
			found.query[p.Name] = p
		case openapi3.ParameterInHeader:
			found.headers = append(found.headers, p)
		case openapi3.ParameterInPath:
			found.path = append(found.path, p)
		}
	}
	return found, true
}

// Operation is one operation of the contract with its parameters sorted out.
type Operation struct {
	*openapi3.Operation
	query         map[string]*openapi3.Parameter
	headers, path []*openapi3.Parameter
}

// Roles are the roles that may use the operation (x-roles), none where it is for everybody. A rule that is missing or
// that nobody can follow is an error.
func (o Operation) Roles() ([]fleet.Role, error) {
	listed, _ := o.Extensions["x-roles"].([]any)
	var roles []fleet.Role
	for _, one := range listed {
		name, _ := one.(string)
		role := fleet.Role(name)
		if role != fleet.Manager && role != fleet.Operator && role != fleet.Promoter {
			return nil, fmt.Errorf("the contract gives it to %q, which is no role", one)
		}
		roles = append(roles, role)
	}
	if secured := o.Security != nil && len(*o.Security) > 0 && !o.open(); secured != (len(roles) > 0) {
		return nil, errors.New("in the contract, security and x-roles have to come together")
	}
	return roles, nil
}

// open says whether the contract lets it be used without a key, besides with one: a private installation takes one.
func (o Operation) open() bool {
	return slices.ContainsFunc(*o.Security, func(r openapi3.SecurityRequirement) bool { return len(r) == 0 })
}

// Check lets a request pass that keeps to the contract, and refuses any other with every fault of its form. The body of
// a JSON request is read here and kept in c for the handler.
func (o Operation) Check(next echo.HandlerFunc) echo.HandlerFunc {
	return func(c echo.Context) error {
		faults := new(fleet.Faults)
		if err := o.checkPath(c); err != nil {
			return err
		}
		if err := o.checkQuery(c.Request().URL.RawQuery, faults); err != nil {
			return err
		}
		if err := o.checkIfMatch(c.Request()); err != nil {
			return err
		}
		o.checkHeaders(c.Request().Header, faults)
		if o.RequestBody != nil {
			if err := o.checkBody(c, faults); err != nil {
				return err
			}
		}
		if err := faults.Err(); err != nil {
			return err
		}
		return next(c)
	}
}

// faultsOf checks a JSON value against a schema, all faults at once. at is where the value stands. Lists that are too
// long are told of by themselves: what they hold is not looked at.
func faultsOf(schema *openapi3.Schema, value any, at string) []fleet.Fault {
	found := tooLong(schema, value, at, nil)
	if len(found) > 0 {
		return found
	}
	// The details, which nobody reads, hold the whole value again.
	err := schema.VisitJSON(value, openapi3.MultiErrors(), openapi3.VisitAsRequest(),
		openapi3.DisableSchemaErrorDetails())
	told := map[string]bool{} // the objects whose unknown fields were found
	for _, one := range flatten(err) {
		var fault *openapi3.SchemaError
		if !errors.As(one, &fault) {
			found = append(found, fleet.Fault{At: at, Detail: one.Error()})
			continue
		}
		if fault.SchemaField == "properties" { // one for each unknown field, of which each stands for all of its object
			object := within(at, fault.JSONPointer())
			if told[object] {
				continue
			}
			told[object] = true
		}
		found = append(found, inPlainWords(fault, at)...)
	}
	return distinct(found)
}

// tooLong finds the lists that have more items than their schemas take, in the value that a pointer leads to from at.
func tooLong(schema *openapi3.Schema, value any, at string, pointer []string) (found []fleet.Fault) {
	switch v := value.(type) {
	case []any:
		if most := schema.MaxItems; most != nil && uint64(len(v)) > *most {
			return []fleet.Fault{{At: within(at, pointer), Detail: fmt.Sprintf("can have up to %s, not %d",
				entries(*most), len(v))}}
		}
		for i, item := range v {
			if schema.Items != nil {
				found = append(found, tooLong(schema.Items.Value, item, at, append(pointer, strconv.Itoa(i)))...)
			}
		}
	case map[string]any:
		for name, field := range schema.Properties {
			found = append(found, tooLong(field.Value, v[name], at, append(pointer, name))...)
		}
	}
	slices.SortFunc(found, func(a, b fleet.Fault) int { return strings.Compare(a.At, b.At) })
	return found
}

// flatten lists what the schema check may have nested.
func flatten(err error) []error {
	var many openapi3.MultiError
	switch {
	case err == nil:
		return nil
	case errors.As(err, &many):
		var all []error
		for _, one := range many {
			all = append(all, flatten(one)...)
		}
		return all
	}
	return []error{err}
}
