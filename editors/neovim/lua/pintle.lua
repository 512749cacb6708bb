-- The language server in Neovim 0.7 and newer. Options are set before a design is opened:
--   require('pintle').setup({ settings = { inlayHints = { drops = false } } })
local M = {}

local options = {
  cmd = { 'pintle', 'serve' },
  -- What a project has in its folder.
  root_markers = { 'pintle.toml', '.git' },
  -- Answered to the server as the section `pintle`; lsp/README.md lists the keys.
  settings = {},
  capabilities = nil, -- those of Neovim, unless a plugin for completion adds to them
  on_attach = nil,
}

function M.setup(o)
  options = vim.tbl_deep_extend('force', options, o or {})
end

-- The nearest folder above a file with one of the markers, else the file's own.
local function root_of(file)
  local own = vim.fn.fnamemodify(file, ':p:h')
  for _, marker in ipairs(options.root_markers) do
    local at = own
    while true do
      if vim.loop.fs_stat(at .. '/' .. marker) then
        return at
      end
      local up = vim.fn.fnamemodify(at, ':h')
      if up == at then
        break
      end
      at = up
    end
  end
  return own
end

local function config_of(root)
  local settings = vim.empty_dict() -- a plain {} would be sent as a list
  settings.pintle = vim.tbl_extend('force', vim.empty_dict(), options.settings)
  return {
    name = 'pintle',
    cmd = options.cmd,
    root_dir = root,
    workspace_folders = { { uri = vim.uri_from_fname(root), name = root } },
    settings = settings,
    init_options = settings.pintle,
    capabilities = options.capabilities or vim.lsp.protocol.make_client_capabilities(),
    on_attach = options.on_attach,
  }
end

local by_root = {} -- ids of clients; Neovim 0.8 and newer keep them themselves

function M.start(buf)
  local root = root_of(vim.api.nvim_buf_get_name(buf))
  if vim.lsp.start then
    vim.lsp.start(config_of(root), { bufnr = buf })
    return
  end
  local id = by_root[root]
  if not id or not vim.lsp.get_client_by_id(id) then
    id = vim.lsp.start_client(config_of(root))
    by_root[root] = id
  end
  if id then
    vim.lsp.buf_attach_client(buf, id)
  end
end

return M
