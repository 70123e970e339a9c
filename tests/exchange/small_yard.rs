//! A small invented yard with a row in every table that CSV knows.

pub(crate) const FILES: &[(&str, &str)] = &[
    (
        "site.csv",
        "name,latitude_udeg,longitude_udeg,time_zone,units,terms,currency,level_limit_pct,level_limit_in,place_minutes\n\
         Alder Row 3,44.05,69.10 W,America/New_York,us,us,USD,40,software,4\n",
    ),
    (
        "place.csv",
        "code,name,parent,access,height_mm,indoors,note\n\
         YARD,Yard,,,,no,\n\
         LAWN,\"Lawn, left\",YARD,ground,,,\"two lines\nof note\"\n\
         GABLE,Gable,YARD,extension ladder,\"19'8\"\"\",no,'=SUM(A1)\n",
    ),
    ("fall_line.csv", "upper_place,lower_place\nGABLE,LAWN\n"),
    (
        "container.csv",
        "code,name,kind,parent,frost_free,length_mm,max_mass_g,bench\n\
         SHELF,Shelf,shelf,,yes,,,\nT-01,Tote 1,,SHELF,,610,20 kg,no\n",
    ),
    ("caution.csv", "code,text,source\nladder,Foot out one in four,common practice\n"),
    (
        "method.csv",
        "code,name,also,stays,note\nstake,Ground stake,stakes; on stakes,no,\nhook,Hang from hooks,hooks; rail,no,\n\
         set_out,Set out,,no,\n",
    ),
    (
        "product.csv",
        "code,name,kind,role,volts_mv,pixels,pixel_ma,wire,length_mm,counted,min_handling_mc,cautions\n\
         MINI,Mini tree,tree,prop,5 V,50,55 mA,18 AWG,4',no,-10 C,\n\
         TIE,Cable tie,,consumable,,,,,,yes,,\n",
    ),
    (
        "product_end.csv",
        "product,end_name,direction,plug_family,pins,sex,conductor_order,volts_mv\nMINI,in,in,round3,3,pins,+ data -,5000\n",
    ),
    (
        "recipe_step.csv",
        "code,method,position,phase,deed,title,fixed_s,stake_s,wait_s,wait_kind,after,cautions,unfrozen\n\
         stake.drive,stake,10,up,drive,Drive stakes,5 min,120,0,,,,yes\n\
         stake.pull,stake,20,down,pull,Pull stakes,60,90,1h20,dry,,,\n",
    ),
    ("recipe_run.csv", "recipe_step,start_s,runs_s\nstake.drive,120,1200\n"),
    ("recipe_use.csv", "recipe_step,product,per_piece\nstake.drive,TIE,4\n"),
    (
        "piece.csv",
        "code,product,name,batch,condition,home,got_on,price_cents,tag_mv,length_mm,looked_over_on\n\
         MT-1,MINI,Mini 1,B1,good,T-01,2025-02-01,$12.50,5000,2.3 m,\nMT-2,MINI,,B1,faulty,T-01,,,,,2026-02-02\n",
    ),
    ("person.csv", "code,name,skills,mass_g\nANN,Ann,\"roof, solder\",150 lb\n"),
    (
        "season.csv",
        "code,name,show,lights_on,lights_off,rehearsal,nightly_from,nightly_to,buffer_days\n\
         frost-2026,Frost 2026,frost,2026-11-27T17:00,2027-01-03,2026-11-22 13:00,17:00,21:30,\n",
    ),
    (
        "duty.csv",
        "code,season,title,kind,due_on,lead_days,minutes_s\nD-1,frost-2026,Buried lines,buried_lines,2026-10-10,5,\n",
    ),
    ("stock.csv", "code,product,home,use_by,batch\nS-TIE,TIE,T-01,2028-01-01,\n"),
    (
        "stock_move.csv",
        "stock,kind,quantity,at,season,why\nS-TIE,counted,300,2026-02-10T10:00,,\nS-TIE,used,12,2026-11-02T19:20:05Z,frost-2026,\n",
    ),
    (
        "placement.csv",
        "code,name,season,product,piece,count,place,method,carried_by,worth,stakes,length_mm\n\
         P-1,Mini trees,frost-2026,MINI,,2,LAWN,stake,,4,2,\nP-2,Star,frost-2026,,,,GABLE,hook,P-1,,,5 ft\n",
    ),
    ("placement_piece.csv", "placement,piece\nP-1,MT-1\nP-1,MT-2\n"),
    ("circuit.csv", "code,name,breaker_ma,volts_mv\nC-1,Porch,15 A,120 V\n"),
    ("outlet.csv", "code,circuit,place,residual_group,trip_ma,ready_on\nO-1,C-1,LAWN,G1,5,\n"),
    (
        "link.csv",
        "code,kind,season,from_outlet,from_piece,from_placement,from_port,to_piece,to_placement,to_end,at_pixel,lead,wire,length_mm\n\
         L-1,mains,frost-2026,O-1,,,,MT-1,,,,,14 AWG,25 ft\nL-2,data,,,MT-1,,3,,P-1,in,1,,1.5 mm2,3000\n",
    ),
    (
        "session.csv",
        "code,starts,ends,work_lights,rain,gust_mms,low_mc\n\
         S-1,2026-11-01T09:00,2026-11-01T12:00,no,no,12 mph,31F\nS-2,2026-11-02T18:00,2026-11-03T00:30,yes,,,\n",
    ),
    ("session_person.csv", "session,person,comes,goes\nS-1,ANN,2026-11-01T10:00,\n"),
    ("desk_task.csv", "code,season,title,minutes_s,placement\nK-1,frost-2026,Program the star,4 h,P-2\n"),
    (
        "fault.csv",
        "code,piece,placement,season,symptom,at_pixel,found,person,dark_hours\n\
         F-1,MT-2,P-1,frost-2026,dark from pixel N on,17,2025-12-05T21:00,ANN,3\n",
    ),
    (
        "repair_entry.csv",
        "fault,at,deed,cause,minutes_s,person,part,parts_used\nF-1,2025-12-06T09:00-05:00,looked,water,10 min,ANN,,\n\
         F-1,2026-03-01T10:00,mended,,45 min,ANN,TIE,1\n",
    ),
    (
        "tick.csv",
        "step_key,kind,at,began,person,session,season,placement,recipe_step,done_count,of_count,title,planned_s,taken_s\n\
         placement:P-1/stake.drive/up,start,2026-11-01T10:00,,ANN,S-1,frost-2026,P-1,stake.drive,,,Drive stakes,540,\n\
         placement:P-1/stake.drive/up,count,2026-11-01T10:20,,ANN,S-1,frost-2026,P-1,stake.drive,1,2,Drive stakes,540,600\n\
         box:MT-1:LAWN/test/up,done,,,,,frost-2026,,,,,Light test,300,\n\
         season:frost-2026/rehearsal/up,skip,2026-11-22T14:00,,,,,,,,,,,\n",
    ),
    (
        "time_correction.csv",
        "step_key,ticked,at,taken_s,why\nplacement:P-1/stake.drive/up,2026-11-01T10:20,2026-11-01T20:00,7 min,tea\n",
    ),
    (
        "season_difference.csv",
        "season,placement,what,link_code,before_text,after_text,at,decision\n\
         frost-2026,P-1,port,L-2,3,7,2026-11-01T11:00,kept\n",
    ),
    (
        "need.csv",
        "code,product,title,quantity,season,need_by,reason,fault,worth\nN-1,TIE,Ties,100,frost-2026,2026-10-01,consumable,F-1,\n",
    ),
    ("vendor.csv", "code,name,local,min_order_cents,handling_days\nV-1,Corner store,yes,,1\n"),
    ("shipping_tier.csv", "vendor,from_subtotal_cents,fee_cents,transit_days\nV-1,0,$6.95,5\nV-1,5000,0,5\n"),
    (
        "offer.csv",
        "code,vendor,product,pack,price_cents,max_packs,sale_from,sale_to\nF-TIE,V-1,TIE,100,$4.20,9,2026-01-02,2026-02-01\n",
    ),
    ("purchase_order.csv", "code,vendor,ordered_on,shipping_cents,tax_cents\nB-1,V-1,2026-09-01,695,\n"),
    ("order_line.csv", "order,product,offer,packs,pack,price_cents,received\nB-1,TIE,F-TIE,2,100,420,2\n"),
    (
        "stand.csv",
        "code,placement,kind,half_base_mm,ballast_g,lower_gust_mms,lay_down\nSD-1,P-1,guyed,2 ft,40 lb,30 mph,lay it flat\n",
    ),
    (
        "guy.csv",
        "code,stand,azimuth_deg,radius_mm,rise_mm,holding_mn,holding_by\nG-1,SD-1,90,9 ft,-100,4 kN,tested\n",
    ),
    (
        "meter_reading.csv",
        "step_key,season,piece,read_ma,expected_ma,limit_pct,at\n\
         season:frost-2026/rehearsal.load/up,frost-2026,MT-1,2000,2100,20,2026-11-22T14:00\n",
    ),
    ("night.csv", "night_on,snow,gust_mms,low_mc\n2026-12-04,yes,35 mph,20F\n"),
    (
        "dark_time.csv",
        "season,placement,night_on,dark_s,at,why\nfrost-2026,P-1,2025-12-05,1h30,2025-12-05T21:00,tripped\n",
    ),
    (
        "piece_look.csv",
        "piece,container,kind,at,why\nMT-1,T-01,put,2026-01-10T15:00,\nMT-2,,wet,2026-01-10T14:00,rain\n",
    ),
];
