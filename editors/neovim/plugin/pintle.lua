-- Starts the language server for every buffer of the filetype pintle.
if vim.g.loaded_pintle_server then
  return
end
vim.g.loaded_pintle_server = true

vim.api.nvim_create_autocmd('FileType', {
  group = vim.api.nvim_create_augroup('pintle', {}),
  pattern = 'pintle',
  callback = function(event)
    require('pintle').start(event.buf)
  end,
})
