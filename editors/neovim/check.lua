-- Neovim, without a screen, through the scenario of ../editors_test.go. It is set up as
-- ../README.md says: the two folders in the runtimepath, pintle in the PATH.
local workspace = os.getenv('PINTLE_TEST_WORKSPACE')
local editors = os.getenv('PINTLE_EDITORS')
local failures = 0

local function check(name, ok, detail)
  io.stdout:write((ok and 'ok   ' or 'FAIL ') .. name .. (detail and (' -- ' .. detail) or '') .. '\n')
  if not ok then
    failures = failures + 1
  end
end
local function await(condition)
  return vim.wait(60000, condition, 20)
end
local function text(buf)
  return table.concat(vim.api.nvim_buf_get_lines(buf, 0, -1, false), '\n')
end
-- Puts the cursor on the n-th character of the first place with a text.
local function at(what, n)
  vim.fn.cursor(1, 1)
  assert(vim.fn.search('\\V' .. what, 'cW') > 0, what)
  if n then
    vim.cmd('normal! ' .. n .. 'l')
  end
end
local function findings(buf)
  local out = {}
  for _, d in ipairs(vim.diagnostic.get(buf)) do
    out[#out + 1] = ('%d %s %s'):format(d.lnum + 1, tostring((d.user_data or {}).lsp and d.user_data.lsp.code or d.code), d.message:match('^[^\n]*'))
  end
  return out
end

local function scenario()
  vim.opt.runtimepath:append(editors .. '/vim')
  vim.opt.runtimepath:append(editors .. '/neovim')
  vim.cmd('filetype plugin on | syntax on')
  vim.cmd('runtime! ftdetect/pintle.vim plugin/pintle.lua')
  vim.cmd('edit ' .. vim.fn.fnameescape(workspace .. '/headlamps.pintle'))
  local buf = vim.api.nvim_get_current_buf()
  assert(vim.bo.filetype == 'pintle', 'filetype ' .. vim.bo.filetype)
  local published = 0
  local publish = vim.lsp.handlers['textDocument/publishDiagnostics']
  vim.lsp.handlers['textDocument/publishDiagnostics'] = function(e, r, ...)
    if r.uri == vim.uri_from_bufnr(buf) then
      published = published + 1
    end
    return publish(e, r, ...)
  end
  local client
  assert(await(function()
    client = vim.lsp.buf_get_clients(buf)[next(vim.lsp.buf_get_clients(buf))]
    return client and client.initialized
  end), 'no server')
  check('clean at first', await(function() return published > 0 end) and #findings(buf) == 0, table.concat(findings(buf), '; '))

  local groups = {}
  for i, word in ipairs({ 'wire', 'W1:', 'to F1', 'red', '4 mm2', 'mm2' }) do
    at('wire W1:')
    vim.fn.search('\\V' .. word, 'c')
    groups[i] = vim.fn.synIDattr(vim.fn.synID(vim.fn.line('.'), vim.fn.col('.'), 1), 'name')
  end
  groups = table.concat(groups, ' ')
  check('colours', groups == 'pintleKind pintleName pintleClause pintleColour pintleNumber pintleUnit', groups)

  -- A mistake, and back.
  local good = text(buf)
  local function mistake()
    at('F1.in,', 3)
    vim.cmd('normal! ciwinn')
    return await(function() return #findings(buf) > 0 end)
  end
  check('finding', mistake() and findings(buf)[1]:find('undefined-name', 1, true) ~= nil, table.concat(findings(buf), '; '))
  vim.cmd('silent undo')
  check('undo', await(function() return #findings(buf) == 0 end) and text(buf) == good)

  -- Questions.
  at('TwinFilament')
  vim.lsp.buf.hover()
  local shown
  await(function()
    for _, w in ipairs(vim.api.nvim_list_wins()) do
      if vim.api.nvim_win_get_config(w).relative ~= '' then
        shown = text(vim.api.nvim_win_get_buf(w))
      end
    end
    return shown
  end)
  check('hover', shown and shown:find('two filaments', 1, true), shown and shown:sub(1, 80):gsub('\n', ' | '))
  vim.cmd('silent! only')

  -- Completion as by CTRL-X CTRL-O: Neovim asks later than it answers, so its own
  -- conversion is called with what came.
  at('fit E1: TwinFilament', 13)
  local list = client.request_sync('textDocument/completion', vim.lsp.util.make_position_params(0, client.offset_encoding), 60000, buf)
  local items = list and list.result and vim.lsp.util.text_document_completion_list_to_complete_items(list.result, 'TwinF') or {}
  local words = vim.tbl_map(function(i) return i.word end, items)
  check('completion', vim.tbl_contains(words, 'TwinFilament'), table.concat(words, ' '):sub(1, 80))

  at('TwinFilament')
  vim.lsp.buf.definition()
  local there = await(function() return vim.api.nvim_buf_get_name(0):match('parts/lamps%.pintle$') end)
  check('definition', there and vim.api.nvim_get_current_line():match('^part TwinFilament'), vim.api.nvim_get_current_line())
  vim.cmd('buffer ' .. buf)

  at('TwinFilament')
  vim.lsp.buf.references()
  check('references', await(function() return #vim.fn.getqflist() >= 3 end), #vim.fn.getqflist() .. ' places')
  vim.cmd('silent! cclose | buffer ' .. buf)

  -- The fix of a mistake, chosen from the menu.
  mistake()
  at('F1.inn', 3)
  local titles = {}
  vim.ui.select = function(choices, _, chosen)
    for i, c in ipairs(choices) do
      titles[i] = c[2].title
    end
    chosen(choices[1], 1)
  end
  vim.lsp.buf.code_action()
  check('fix', await(function() return text(buf) == good end), table.concat(titles, '; '))
  check('finding gone', await(function() return #findings(buf) == 0 end), table.concat(findings(buf), '; '))

  -- Layout.
  at('wire W1:')
  vim.cmd('normal! wi     ')
  assert(text(buf) ~= good)
  if vim.lsp.buf.format then
    vim.lsp.buf.format({ timeout_ms = 60000 })
  else
    vim.lsp.buf.formatting_sync(nil, 60000)
  end
  check('format', await(function() return text(buf) == good end), vim.fn.getline(vim.fn.search('\\VW1:', 'cw')))

  -- A new name for what another file declares.
  at('TwinFilament')
  vim.lsp.buf.rename('HeadlampBulb')
  check('rename', await(function() return text(buf):find('fit E2: HeadlampBulb', 1, true) end))
  local lamps = vim.fn.bufnr(workspace .. '/parts/lamps.pintle')
  check('renamed elsewhere', lamps > 0 and await(function() return text(lamps):find('part HeadlampBulb', 1, true) end))
  vim.cmd('silent wall')

  client.stop()
  check('shutdown', await(function() return client.is_stopped() end))
end

local ok, err = xpcall(scenario, debug.traceback)
if not ok then
  io.stdout:write('FAIL ' .. tostring(err) .. '\n')
end
io.stdout:flush()
vim.cmd(ok and failures == 0 and 'qall!' or 'cquit 1')
