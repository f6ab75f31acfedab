-- SPDX-License-Identifier: ISC
-- Drives Ardour without a window by a small script. Run by ardour.py:
--   STEPS="step, a line each" ardour7-lua ardour.lua
-- What a test needs to know goes to standard output behind an "@".
--
--   speed NAME             the dummy engine's driver, before anything else ("10x Speed")
--   new FOLDER             a new session        } both are named `jam`
--   open FOLDER            one that was saved   }
--   track KIND CHANNELS    audio or midi; says the channels in and out
--   template FILE          the session template; says its tracks and whether they are wired
--   wires                  its side chain and its pedal; says what they are connected to. `midi` is the pedal from then on
--   on NAME                what comes now is about that track
--   plugin URI             on that track; says the channels before and after, and if Ardour made a side chain
--   tempo QUARTER BPM UNIT [BPM_AT_END]   the tempo map is replaced when `map` comes
--   meter QUARTER N D
--   map
--   set PORT VALUE         the plugin's port, by index
--   automate PORT FRAME VALUE ...         and lets the automation play
--   preset LABEL
--   midi BYTE ...          to the MIDI track, now
--   roll, stop, locate FRAME, loop, unloop, varispeed SPEED
--   sleep SECONDS          of the wall clock
--   until FRAME            of the transport, rolling forwards
--   rounds N               of a loop
--   lines TICK ...        says where these ticks (1920 a quarter) lie: frame, bbt, meter
--   grid FROM TO STEP      says the frames of these ticks
--   save
local step_text = assert(os.getenv("STEPS"))
local T, A = Temporal, ARDOUR
local UI = A.TransportRequestSource.TRS_UI
local engine = AudioEngine:set_backend("None (Dummy)", "", "")
engine:set_device_name("Silence")
engine:set_sample_rate(48000)
engine:set_buffer_size(256)

local track, plugin
local tempi, meters = {}, {}

local function say(...) io.stdout:write("@ ", table.concat({...}, " "), "\n") end
local function at_quarter(q) return T.timepos_t.from_ticks(math.floor(T.ticks_per_beat * q + 0.5)) end

-- the first track and the plugin on it, of a session that was opened
local function find()
  for t in Session:get_tracks():iter() do track = t break end
  plugin = track:nth_plugin(0)
end

local function control(port)
  return plugin:to_automatable():automation_control(
    Evoral.Parameter(A.AutomationType.PluginAutomation, 0, port), true)
end

local function comes(seconds, done)
  for _ = 1, seconds * 50 do
    if done() then return true end
    sleep(0.02)
  end
  return false
end

local function wait_for(what, seconds, done)
  if not comes(seconds, done) then error("gave up waiting for " .. what) end
end

local function channels(word)
  say(word, track:n_inputs():n_audio(), track:n_outputs():n_audio())
end

local steps = {}

function steps.speed(_, name) assert(engine:set_driver(name) == 0) end
function steps.new(w) assert(create_session(w[1], "jam", 48000)) end
function steps.open(w) assert(load_session(w[1], "jam")) find() end
function steps.track(w)
  local n, order, normal = tonumber(w[2]), A.PresentationInfo.max_order, A.TrackMode.Normal
  if w[1] == "midi" then
    local midi, audio = A.ChanCount(A.DataType("midi"), 1), A.ChanCount(A.DataType("audio"), n)
    local tracks = Session:new_midi_track(midi, audio, true, A.PluginInfo(), nil, nil, 1, "Harp", order, normal, true)
    track = tracks:front()
  else
    track = Session:new_audio_track(n, n, nil, 1, "Harp", order, normal, true):front()
  end
end
function steps.on(w) track = assert(Session:route_by_name(w[1]), "no track " .. w[1]) end
function steps.plugin(w)
  plugin = A.LuaAPI.new_plugin(Session, w[1], A.PluginType.LV2, "")
  assert(not plugin:isnil(), "Ardour does not see " .. w[1])
  channels("before")
  assert(track:add_processor_by_index(plugin, 0, nil, true) == 0, "Ardour refuses the plugin")
  channels("after")
  say("side", plugin:to_insert():sidechain_input():isnil() and "none" or "there")
end
-- the session template, as `Session`, `New` runs it
function steps.template(w)
  local make
  ardour = function(head) assert(head.type == "SessionInit") end
  dofile(w[1])
  make = factory
  make()()
  find()
  for t in Session:get_tracks():iter() do
    say("track", t:name(), t:n_inputs():n_audio(), t:n_outputs():n_audio(), t:nth_plugin(0):isnil() and "-" or t:nth_plugin(0):name())
  end
  local phrases = Session:route_by_name("Phrases")
  say("wired", phrases:input():nth(0):connected_to("Backing/midi_out 1") and "yes" or "no")
end
-- the template's plugin gets a side chain from the Harp track and from a pedal, as plugin/HOSTS.md tells
function steps.wires()
  local midi, insert = A.DataType("midi"), plugin:to_insert()
  assert(track:add_sidechain(plugin), "Ardour makes no side chain")
  local side = insert:sidechain_input()
  assert(side:add_port("", nil, midi) == 0, "no MIDI in the side chain")
  local pins = insert:input_map(0)
  pins:set(midi, 0, 0)
  insert:set_input_map(0, pins)
  local one = A.ChanCount(midi, 1)
  track = Session:new_midi_track(one, one, true, A.PluginInfo(), nil, nil, 1, "Pedal", A.PresentationInfo.max_order,
    A.TrackMode.Normal, true):front()
  side:nth(0):connect("Harp/audio_out 1")
  side:nth(1):connect("Pedal/midi_out 1")
  say("pins", insert:input_map(0):get(A.DataType("audio"), 2), insert:input_map(0):get(midi, 0))
  say("wires", side:nth(0):connected_to("Harp/audio_out 1") and "yes" or "no", side:nth(1):connected_to("Pedal/midi_out 1") and "yes" or "no")
end
function steps.tempo(w) tempi[#tempi + 1] = w end
function steps.meter(w) meters[#meters + 1] = w end
function steps.map()
  local map, ramps = T.TempoMap.fetch_writable(), {}
  for _, w in ipairs(tempi) do
    local tempo = T.Tempo(tonumber(w[2]), tonumber(w[4] or w[2]), tonumber(w[3]))
    local point = map:set_tempo(tempo, at_quarter(tonumber(w[1])))
    if w[4] then ramps[#ramps + 1] = point end
  end
  for _, w in ipairs(meters) do
    map:set_meter(T.Meter(tonumber(w[2]), tonumber(w[3])), at_quarter(tonumber(w[1])))
  end
  for _, point in ipairs(ramps) do map:set_ramped(point, true) end
  T.TempoMap.update(map)
end
function steps.set(w) control(tonumber(w[1])):set_value(tonumber(w[2]), PBD.GroupControlDisposition.NoGroup) end
function steps.automate(w)
  local c = control(tonumber(w[1]))
  for i = 2, #w, 2 do c:alist():add(T.timepos_t(tonumber(w[i])), tonumber(w[i + 1]), false, true) end
  c:set_automation_state(A.AutoState.Play)
end
function steps.preset(_, label)
  local p = plugin:to_insert():plugin(0)
  local preset = p:preset_by_label(label)
  assert(preset and p:load_preset(preset), "no preset " .. label)
end
function steps.midi(w)
  local bytes = C.ByteVector()
  for _, b in ipairs(w) do bytes:add({tonumber(b)}) end
  local to = track:to_track():to_midi_track()
  assert(to:write_immediate_event(Evoral.EventType.MIDI_EVENT, #w, bytes:to_array()))
end
function steps.roll()
  Session:request_roll(UI)
  wait_for("the start", 5, function() return Session:transport_rolling() end)
end
function steps.stop()
  Session:request_stop(false, false, UI)
  wait_for("the stop", 5, function() return not Session:transport_rolling() end)
  sleep(0.1)
end
function steps.locate(w)
  Session:request_locate(tonumber(w[1]), false, A.LocateTransportDisposition.RollIfAppropriate, UI)
  sleep(0.3)
end
function steps.loop() -- on a busy machine a request has gone by unheeded
  for _ = 1, 5 do
    Session:request_play_loop(true, false)
    if comes(2, function() return Session:get_play_loop() end) then return end
  end
  error("the loop was not taken up")
end
function steps.unloop() Session:request_play_loop(false, false) end
function steps.varispeed(w) Session:request_transport_speed(tonumber(w[1]), UI) end
function steps.sleep(w) sleep(tonumber(w[1])) end
steps["until"] = function(w)
  local frame = tonumber(w[1])
  wait_for("frame " .. w[1], 40, function() return Session:transport_sample() >= frame end)
end
function steps.rounds(w)
  local left, before = tonumber(w[1]), Session:transport_sample()
  wait_for(w[1] .. " rounds", 40, function()
    local now = Session:transport_sample()
    left, before = now < before and left - 1 or left, now
    return left == 0
  end)
end
function steps.lines(w)
  local map = T.TempoMap.read()
  for _, tick in ipairs(w) do
    local pos = T.timepos_t.from_ticks(tonumber(tick))
    local after = T.timepos_t.from_ticks(tonumber(tick) + 1) -- at the tick itself a new meter is not told yet
    local bbt, meter = map:bbt_at(pos), map:meter_at(after)
    say("line", tick, map:sample_at(pos), string.format("%d|%d|%d", bbt.bars, bbt.beats, bbt.ticks),
        meter:divisions_per_bar() .. "/" .. meter:note_value())
  end
end
function steps.grid(w)
  local map = T.TempoMap.read()
  for tick = tonumber(w[1]), tonumber(w[2]), tonumber(w[3]) do
    say("at", tick, map:sample_at(T.timepos_t.from_ticks(tick)))
  end
end
function steps.save() assert(Session:save_state("", false, false, false, false, false) == 0) end

for line in step_text:gmatch("[^\n]+") do
  local name, rest = line:match("^(%S+)%s*(.*)$")
  local words = {}
  for w in rest:gmatch("%S+") do words[#words + 1] = w end
  local ok, why = pcall(steps[name] or error, words, rest)
  if not ok then say("failed", line .. ":", tostring(why)) break end
end
collectgarbage() -- a tempo map still held keeps the session from closing
if Session then close_session() end
say("done")
quit()
