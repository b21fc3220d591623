package web

// burnPages are the pages of one burn.
func (s *Site) burnPages() map[string]handler {
	return map[string]handler{}
}
