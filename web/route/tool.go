package route

// Tools lists the special tools, and takes a new one by POST.
func Tools() string { return "/tools" }

// ToolNew is the form for a tool.
func ToolNew() string { return "/tools/new" }

// Tool takes a changed tool by POST.
func Tool[T ~int64](id T) string { return Tools() + "/" + number(id) }

// ToolEdit is the form of a tool.
func ToolEdit[T ~int64](id T) string { return Tool(id) + "/edit" }

// ToolDelete deletes a tool by POST.
func ToolDelete[T ~int64](id T) string { return Tool(id) + "/delete" }

// ToolRestore brings a deleted tool back by POST.
func ToolRestore[T ~int64](id T) string { return Tool(id) + "/restore" }
