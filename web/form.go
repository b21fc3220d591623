package web

// field is one field of a form for the template "fields".
type field struct {
	Head    string // of the group that begins here
	Name    string
	Label   string
	As      string // "text", "long", "choice", "tick"
	Value   string
	Example string
	Help    string
	Wrong   string // why the value was not taken
	List    string // id of a datalist
	Choices []string
	Must    bool
	Numeric bool
}
